"""What the plan amounts to: balance, bottles, money, alcohol."""

from __future__ import annotations

import itertools
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from halfpoint.plan.glass import alcohol, bottles_for, pours_per_bottle, whole_cases
from halfpoint.plan.items import style_ranks
from halfpoint.plan.model import (
    Balance,
    BalanceAt,
    Money,
    Pour,
    SeatAlcohol,
    SiteBalance,
    SiteBottles,
    WineMoney,
)
from halfpoint.tasting.model import Tasting


def balance_of(
    tasting: Tasting, pours: Sequence[Pour], efficiency: float, *, connected: bool
) -> Balance:
    """Counts by position and predecessor, over the tasting and within every site."""
    ranks = {wine.key: rank for wine, rank in zip(tasting.wines, style_ranks(tasting), strict=True)}
    longest = max((pour.position for pour in pours), default=0)
    at: dict[str, Counter[int]] = {wine.key: Counter() for wine in tasting.wines}
    after: dict[str, Counter[str]] = {wine.key: Counter() for wine in tasting.wines}
    for pour in pours:
        at[pour.wine][pour.position] += 1
    for before, pour in _neighbours(pours):
        after[before.wine][pour.wine] += 1
    by_site: dict[str, list[Pour]] = defaultdict(list)
    for pour in pours:
        by_site[pour.site].append(pour)
    return Balance(
        by_position={
            wine: tuple(counts[k] for k in range(1, longest + 1)) for wine, counts in at.items()
        },
        by_predecessor={wine: dict(counts) for wine, counts in after.items()},
        position=_position_evenness([pour for pour in pours if not pour.second_pour], ranks),
        predecessor=_predecessor_evenness(pours, ranks),
        sites=tuple(
            SiteBalance(site, _position_evenness(mine, ranks), _predecessor_evenness(mine, ranks))
            for site, mine in by_site.items()
        ),
        efficiency=efficiency,
        connected=connected,
    )


def _neighbours(pours: Sequence[Pour]) -> Iterable[tuple[Pour, Pour]]:
    """Pours of one seat that follow each other; pours come seat by seat, in order."""
    for before, pour in itertools.pairwise(pours):
        if (before.site, before.seat) == (pour.site, pour.seat):
            yield before, pour


def _position_evenness(pours: Sequence[Pour], ranks: dict[str, tuple[int, int]]) -> BalanceAt:
    """Least and most over pours (first and second apart) and positions of one style block."""
    open_to: dict[tuple[int, int], set[int]] = defaultdict(set)
    counts: Counter[tuple[str, bool, int]] = Counter()
    for pour in pours:
        open_to[ranks[pour.wine]].add(pour.position)
        counts[pour.wine, pour.second_pour, pour.position] += 1
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for wine, second in {(pour.wine, pour.second_pour) for pour in pours}:
        cells[ranks[wine]] += [counts[wine, second, place] for place in open_to[ranks[wine]]]
    return _least_even(cells.values())


def _predecessor_evenness(pours: Sequence[Pour], ranks: dict[str, tuple[int, int]]) -> BalanceAt:
    """Least and most over ordered pairs of different wines of one style block."""
    counts: Counter[tuple[str, str]] = Counter()
    for before, pour in _neighbours(pours):
        counts[before.wine, pour.wine] += 1
    wines = {pour.wine for pour in pours}
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for a, b in itertools.permutations(wines, 2):
        if ranks[a] == ranks[b]:
            cells[ranks[a]].append(counts[a, b])
    return _least_even(cells.values())


def _least_even(blocks: Iterable[Sequence[int]]) -> BalanceAt:
    """The block whose counts lie furthest apart, the one with most counts among equals."""
    found = ((min(cells), max(cells), len(cells)) for cells in blocks)
    least, most, _ = max(
        found, key=lambda one: (one[1] - one[0], one[2], one[1]), default=(0, 0, 0)
    )
    return BalanceAt(least, most)


def bottles_of(tasting: Tasting, pours: Sequence[Pour]) -> tuple[SiteBottles, ...]:
    """Bottles of each wine at each site; a hidden second pour comes from the same bottles.

    Where the bottles at hand do not give every spare, the sites with most pours have them.
    """
    settings = tasting.plan
    per_bottle = pours_per_bottle(settings.bottle_ml, settings.pour_ml, settings.loss_percent)
    counts = Counter((pour.site, pour.wine) for pour in pours)
    made = []
    for (site, wine), number in counts.items():
        need = bottles_for(number, per_bottle, settings.spare_every)
        made.append(SiteBottles(site, wine, need.pours, need.bottles, need.spare))
    return _spares_at_hand(tasting, made)


def _spares_at_hand(tasting: Tasting, lines: Sequence[SiteBottles]) -> tuple[SiteBottles, ...]:
    left = {wine.key: wine.bottles for wine in tasting.wines if wine.bottles is not None}
    for line in lines:
        if line.wine in left:
            left[line.wine] -= line.bottles
    spare = {}
    for line in sorted(lines, key=lambda line: -line.pours):
        given = min(line.spare, max(0, left.get(line.wine, line.spare)))
        spare[line.site, line.wine] = given
        if line.wine in left:
            left[line.wine] -= given
    return tuple(replace(line, spare=spare[line.site, line.wine]) for line in lines)


MOST_NAMED = 4


def spare_losses(tasting: Tasting, lines: Sequence[SiteBottles]) -> tuple[str, ...]:
    """Where bottles at hand leave no spare that was asked for, in words."""
    every = tasting.plan.spare_every
    names = {wine.key: wine.name for wine in tasting.wines}
    short = Counter(line.wine for line in lines if every and line.spare < -(-line.bottles // every))
    if not short:
        return ()
    if len(short) > MOST_NAMED:
        sites = max(short.values())
        at = "1 site" if sites == 1 else f"{sites} sites"
        return (f"Too few bottles at hand for every spare: {len(short)} wines lack one at {at}.",)
    said = ", ".join(f"{names[wine]} at {number}" for wine, number in short.items())
    return (f"Too few bottles at hand for every spare; sites short of one: {said}.",)


def money_of(tasting: Tasting, bottles: Sequence[SiteBottles]) -> Money:
    """Cost of all bottles, spares included, by the prices in the tasting file."""
    need: Counter[str] = Counter()
    for line in bottles:
        need[line.wine] += line.bottles + line.spare
    lines = []
    for wine in tasting.wines:
        number = need[wine.key]
        cost = None if wine.price is None else float(wine.price) * number
        to_buy = number if wine.bottles is None else max(0, number - wine.bottles)
        lines.append(WineMoney(wine.key, number, wine.bottles, to_buy, whole_cases(to_buy), cost))
    total = sum(line.cost for line in lines if line.cost is not None)
    missing = tuple(line.wine for line in lines if line.cost is None and line.bottles)
    return Money(tasting.currency, total, tuple(lines), missing)


# Where the label's alcohol is not in the file (common practice, no source).
USUAL_ALCOHOL = 13.0


def alcohol_of(tasting: Tasting, pours: Sequence[Pour]) -> tuple[SeatAlcohol, ...]:
    """Alcohol for each seat if every pour were swallowed."""
    percent = {
        wine.key: USUAL_ALCOHOL if wine.alcohol is None else float(wine.alcohol)
        for wine in tasting.wines
    }
    grams: dict[tuple[str, int, str | None], float] = defaultdict(float)
    for pour in pours:
        seat = (pour.site, pour.seat, pour.taster)
        grams[seat] += alcohol(float(tasting.plan.pour_ml), percent[pour.wine]).grams
    return tuple(
        SeatAlcohol(site, seat, taster, amount, amount / 10.0, amount / 14.0)
        for (site, seat, taster), amount in grams.items()
    )
