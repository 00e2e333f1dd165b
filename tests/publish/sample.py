"""Hand-made findings to draw, write and test against. All of it is invented."""

from __future__ import annotations

import dataclasses
import math
import random
from functools import cache
from statistics import NormalDist

from halfpoint.estimate.findings import (
    BottleFinding,
    ComponentFinding,
    CovariateFinding,
    Findings,
    HeldFinding,
    Histogram,
    MarkFindings,
    PairFinding,
    Part,
    SetAsideFinding,
    WineFinding,
    WineTest,
)

NAMES = (
    'Tarnhollow Riesling',
    'Quillbank Dry White',
    'Overmeer Pinot Gris',
    'Pennymarsh Chardonnay',
    'Sallow Ridge Vidal',
    'Wexcombe Grüner',
    'Lower Ambry Seyval',
    'Brackenfold Traminer',
)
SITES = ('Millbrook', 'Easterly', 'Coldwater', 'Fennings', 'Oakhaven', 'Longstrand')
CATEGORIES = (
    ('appearance', 'Appearance', 3.0),
    ('aroma', 'Aroma', 6.0),
    ('taste', 'Taste', 6.0),
    ('aftertaste', 'Aftertaste', 3.0),
    ('overall', 'Overall impression', 2.0),
)
TRUE = (15.6, 15.4, 14.6, 14.45, 14.3, 13.7, 13.5, 12.8)
NORMAL = NormalDist()


def wine_names(count: int) -> list[str]:
    """Eight names, then numbered ones."""
    return [NAMES[i] if i < len(NAMES) else f'Wine {i + 1}' for i in range(count)]


def pair_findings(scores: dict[str, float], se: float) -> tuple[PairFinding, ...]:
    """Every pair, with a Bonferroni-like correction (only the shape matters here)."""
    names = list(scores)
    count = len(names) * (len(names) - 1) // 2
    spread = se * math.sqrt(2)
    found = []
    for i, a in enumerate(names):
        for b in names[i + 1 :]:
            difference = scores[a] - scores[b]
            p = 2 * (1 - NORMAL.cdf(abs(difference) / spread))
            reach = spread * NORMAL.inv_cdf(1 - 0.025 / count)
            found.append(
                PairFinding(
                    a, b, difference, spread, 140.0, p, min(1.0, p * count),
                    difference - reach, difference + reach,
                )
            )  # fmt: skip
    return tuple(found)


def letters(scores: dict[str, float], pairs: tuple[PairFinding, ...]) -> dict[str, str]:
    """Letters over runs of wines that no pair tells apart (scores best first)."""
    told = {frozenset((p.a, p.b)) for p in pairs if p.p_adjusted < 0.05}
    names = list(scores)
    runs: list[tuple[int, int]] = []
    for start in range(len(names)):
        end = start
        while end + 1 < len(names) and not any(
            frozenset((names[i], names[end + 1])) in told for i in range(start, end + 1)
        ):
            end += 1
        if not runs or end > runs[-1][1]:
            runs.append((start, end))
    found = dict.fromkeys(names, '')
    for number, (start, end) in enumerate(runs):
        for name in names[start : end + 1]:
            found[name] += chr(ord('a') + number % 26)
    return found


def rank_probabilities(values: list[float], se: float, seed: int) -> list[tuple[float, ...]]:
    """Shares of places over simulated tastings."""
    chooser = random.Random(seed)
    count = len(values)
    draws = (4000 if count <= 20 else 400) if count <= 100 else 40
    tallies = [[0] * count for _ in values]
    for _ in range(draws):
        drawn = [chooser.gauss(v, se) for v in values]
        for place, wine in enumerate(sorted(range(count), key=lambda i: -drawn[i])):
            tallies[wine][place] += 1
    return [tuple(n / draws for n in tally) for tally in tallies]


def interval_of_places(chances: tuple[float, ...]) -> tuple[int, int]:
    """The 90 % interval of places."""
    low = high = len(chances)
    sum_so_far = 0.0
    low_found = False
    for place, chance in enumerate(chances, 1):
        sum_so_far += chance
        if not low_found and sum_so_far > 0.05:
            low, low_found = place, True
        if sum_so_far >= 0.95:
            high = place
            break
    return low, high


def mark_findings(
    key: str,
    label: str,
    top: float | None,
    scores: dict[str, float],
    se: float = 0.17,
    with_pairs: bool = True,
    seed: int = 3,
    sites: tuple[str, ...] = SITES,
) -> MarkFindings:
    """What one kind of mark says, for given scores."""
    chooser = random.Random(seed)
    ordered = dict(sorted(scores.items(), key=lambda item: -item[1]))
    pairs = pair_findings(ordered, se) if with_pairs else ()
    groups = letters(ordered, pairs) if with_pairs else dict.fromkeys(ordered, '')
    chances = rank_probabilities(list(ordered.values()), se, seed)
    wines = []
    for (name, score), chance in zip(ordered.items(), chances, strict=True):
        low, high = interval_of_places(chance)
        error = se * chooser.uniform(0.9, 1.15)
        wines.append(
            WineFinding(
                name, 148, len(sites), 148, score + chooser.gauss(0, 1.6 * se), score, error,
                131.2, score - 1.978 * error, score + 1.978 * error, None, low, high, chance,
                chance[0], groups[name],
            )
        )  # fmt: skip
    size = se / 0.17
    bottles = tuple(
        BottleFinding(site, name, chooser.gauss(0, 0.28) * size, 0.21 * size)
        for site in sites
        for name in ordered
    )
    if len(bottles) > 6 and sites:
        bottles = (dataclasses.replace(bottles[6], effect=-1.9 * size), *bottles[:6], *bottles[7:])
    return MarkFindings(
        key, label, top, 1184, 14.2, 2.1, tuple(wines), pairs,
        {
            'taster': ComponentFinding(2.25 * size**2, 1.8 * size**2, 2.9 * size**2),
            'site': ComponentFinding(0.0, None, 0.09 * size**2),
            'bottle': ComponentFinding(0.16 * size**2, 0.05 * size**2, 0.35 * size**2),
            'residual': ComponentFinding(1.44 * size**2, 1.31 * size**2, 1.6 * size**2),
        },
        4321.5,
        (CovariateFinding('position', None, -0.06, 0.02, 900.0, -3.0, 0.0027, -0.1, -0.02),),
        WineTest(31.2, len(ordered) - 1, 35.0, 1e-9),
        Histogram(
            tuple(-4 + 0.5 * i for i in range(17)),
            (1, 0, 3, 5, 9, 14, 20, 24, 25, 19, 13, 8, 4, 2, 0, 1),
        ),
        bottles,
        (),
    )  # fmt: skip


@cache
def sample(count: int = 8, with_pairs: bool = True, sites: tuple[str, ...] = SITES) -> Findings:
    """A whole tasting of `count` wines; the first eight have names and known scores."""
    chooser = random.Random(11)
    names = wine_names(count)
    scores = {
        name: TRUE[i] if i < len(TRUE) else chooser.gauss(14, 0.9) for i, name in enumerate(names)
    }
    categories = {}
    for number, (key, label, top) in enumerate(CATEGORIES):
        shares = {
            name: min(top, score * top / 20 + chooser.gauss(0, 0.12))
            for name, score in scores.items()
        }
        categories[key] = mark_findings(
            key, label, top, shares, se=0.17 * math.sqrt(top) / 4, with_pairs=with_pairs,
            seed=number, sites=sites,
        )  # fmt: skip
    return Findings(
        title='Hillside whites, spring',
        sheet='twenty-point',
        source='hillside-spring.csv',
        invented=True,
        version='0.1.0',
        seed=20,
        form='fixed',
        effects=('taster', 'site', 'bottle'),
        marks=1184,
        tasters=148,
        sites=len(sites),
        connected=True,
        parts=(),
        total=mark_findings(
            'total', 'Total', 20.0, scores, with_pairs=with_pairs, sites=sites
        ),
        categories=categories,
        held=(
            HeldFinding('easterly.csv', 14, 'aroma', '7½', 'a mark from 0 to 6'),
            HeldFinding('easterly.csv', 31, 'aroma', '8', 'a mark from 0 to 6'),
            HeldFinding('fennings.csv', 3, 'taste', '4.3', 'a half-point step'),
        ),
        set_aside=(
            SetAsideFinding('t-031', NAMES[3], 'organiser', 'poured from the wrong bottle'),
            SetAsideFinding('t-032', NAMES[3], 'organiser', 'poured from the wrong bottle'),
        ),
        notes=(),
    )  # fmt: skip


@cache
def disconnected() -> Findings:
    """A tasting that falls into two parts, each with a result of its own."""
    whole = sample()
    names = list(NAMES)
    parts = []
    for chosen in (names[:5], names[5:]):
        scores = {name: TRUE[names.index(name)] for name in chosen}
        parts.append(Part(tuple(chosen), 74, 592, mark_findings('total', 'Total', 20.0, scores)))
    bare = tuple(
        dataclasses.replace(
            wine, adjusted=None, se=None, df=None, low=None, high=None, rank_low=None,
            rank_high=None, rank_probability=(), p_best=None, letters='',
        )
        for wine in whole.total.wines
    )  # fmt: skip
    total = dataclasses.replace(
        whole.total, wines=bare, pairs=(), components={}, criterion=None, covariates=(),
        wine_test=None, severity=None, bottles=(),
    )  # fmt: skip
    return dataclasses.replace(
        whole, connected=False, parts=tuple(parts), total=total, categories={}
    )


def renamed(findings: Findings, names: dict[str, str]) -> Findings:
    """The same findings with other wine names, wherever a wine is named."""

    def other(marks: MarkFindings) -> MarkFindings:
        return dataclasses.replace(
            marks,
            wines=tuple(
                dataclasses.replace(w, wine=names.get(w.wine, w.wine)) for w in marks.wines
            ),
            pairs=tuple(
                dataclasses.replace(p, a=names.get(p.a, p.a), b=names.get(p.b, p.b))
                for p in marks.pairs
            ),
            bottles=tuple(
                dataclasses.replace(b, wine=names.get(b.wine, b.wine)) for b in marks.bottles
            ),
        )

    return dataclasses.replace(
        findings,
        total=other(findings.total),
        categories={key: other(marks) for key, marks in findings.categories.items()},
    )
