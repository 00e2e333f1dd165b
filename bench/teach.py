"""Does practice teach? Simulated learners whose severity, spread and noise are known.

Four flights of six wines, marks in half points, the reference uncertain and every bottle another.
Panel figures are those of the invented tasting. Learners are either like its tasters, or unlike
them (severity and spread half as wide again, noise from half to double), as people who have never
marked may be; the prior is that of the panel for both. Wines are as alike as in that tasting, or
chosen far apart, as a practice set should be. Twelve repeat six wines.

How much a session of practice changes a learner is assumed, not known: practising a point halves
it. That advice helps then means that it names points that matter.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import dataclass, replace

import numpy as np

from halfpoint.sheet.load import load_sheet
from halfpoint.teach.advice import ASPECTS, Point, points
from halfpoint.teach.calibration import Calibration, Floats, Known, calibrate
from halfpoint.teach.prior import KEPT_TO_NEXT_SESSION, Prior, carried, panel_prior
from measure.figures import describe, keep, machine, print_table

SHEET = load_sheet('twenty-point')
FLIGHT, FLIGHTS, AGAIN = 6, 4, 6
STEP = 0.5
WINE_SD = {'as alike as in the tasting': 0.9, 'chosen far apart': 2.0}
KINDS = {'like the panel': 0.0, 'of both kinds': 0.5, 'unlike the panel': 1.0}
REFERENCE_SE, BOTTLE_SD = 0.15, 0.41
PANEL = panel_prior(0.87, 0.26, 1.13)
PANEL_FREEDOM = 30.0
# By category: severity, noise, wines, bottle, error of the reference; invented tasting.
CATEGORIES = {
    'appearance': (0.04, 0.19, 0.12, 0.0, 0.013),
    'aroma': (0.31, 0.61, 0.38, 0.14, 0.056),
    'taste': (0.31, 0.60, 0.31, 0.15, 0.064),
    'aftertaste': (0.15, 0.36, 0.18, 0.08, 0.033),
    'overall': (0.10, 0.26, 0.08, 0.06, 0.023),
}
APART = 2.0
# A weak point costs so many points in every mark (root mean square).
WEAK = 0.8
SESSIONS = 8


@dataclass(frozen=True)
class Learner:
    """What is to be found."""

    severity: float
    spread: float
    noise: float
    own: float = 0.5


def draw(rng: np.random.Generator, panel: Prior, *, unlike: bool) -> Learner:
    """A learner like the tasters of the panel, or unlike them."""
    wide, spread = (1.5, 0.4) if unlike else (1.0, panel.spread_sd)
    noise = (
        np.exp(rng.uniform(-np.log(2.0), np.log(2.0)))
        if unlike
        else np.sqrt(PANEL_FREEDOM / rng.chisquare(PANEL_FREEDOM))
    )
    return Learner(
        rng.normal(0.0, wide * panel.severity_sd),
        max(0.05, rng.normal(1.0, spread)),
        panel.noise * float(noise),
    )


def marked(
    rng: np.random.Generator, learner: Learner, wines: int, again: int, known: Known
) -> tuple[Floats, np.ndarray, Known]:
    """Marks, their wines, and what the panel says of wines drawn for them."""
    truth = rng.normal(known.centre, known.wine_sd, wines)
    error = float(np.sqrt(known.covariance[0, 0]))
    reference = replace(
        known,
        score=truth + rng.normal(0.0, error, wines),
        covariance=np.eye(wines) * error**2,
    )
    wine = np.concatenate([np.arange(wines), np.arange(again)])
    bottle = truth + rng.normal(0.0, known.bottle_sd, wines)
    liking = rng.normal(0.0, learner.noise * np.sqrt(1.0 - learner.own), wines)
    mark = bottle - learner.severity + (learner.spread - 1.0) * (bottle - known.centre) + liking
    mark = mark[wine] + rng.normal(0.0, learner.noise * np.sqrt(learner.own), wine.size)
    return np.round(mark / STEP) * STEP, wine, reference


def known_of(wine_sd: float, bottle_sd: float, error: float, centre: float) -> Known:
    """A reference to draw wines by."""
    return Known(np.array([centre]), np.array([[error**2]]), centre, wine_sd, bottle_sd)


def recover(wine_sd: float, learners: int, seed: int, unlike: float) -> dict[str, list[float]]:
    """Correlation of estimates with the truth, and how often the intervals hold it."""
    rng = np.random.default_rng(seed)
    known = known_of(wine_sd, BOTTLE_SD, REFERENCE_SE, 14.5)
    rows: dict[str, list[tuple[float, float, bool]]] = {}
    for _ in range(learners):
        learner = draw(rng, PANEL, unlike=bool(rng.random() < unlike))
        mark, wine, reference = marked(rng, learner, FLIGHT * FLIGHTS, AGAIN, known)
        found = calibrate(mark, wine, reference, PANEL)
        told = learner.spread * wine_sd
        truth = {
            'severity': learner.severity,
            'spread': learner.spread,
            'noise': learner.noise,
            'agreement': told / np.hypot(told, learner.noise),
            'repeatability': learner.noise * np.sqrt(learner.own),
        }
        for name, true in truth.items():
            one = getattr(found, name)
            rows.setdefault(name, []).append((one.value, true, one.low <= true <= one.high))
    return {
        name: [
            round(float(np.corrcoef([r[0] for r in row], [r[1] for r in row])[0, 1]), 3),
            round(float(np.mean([r[2] for r in row])), 3),
        ]
        for name, row in rows.items()
    }


@dataclass
class Whole:
    """A learner in every category."""

    by: dict[str, Learner]
    panel: dict[str, Prior]
    known: dict[str, Known]

    def costs(self) -> dict[tuple[str, str], float]:
        """What each point adds to the squared gap."""
        made = {}
        for key, one in self.by.items():
            made[key, 'severity'] = one.severity**2
            made[key, 'spread'] = ((one.spread - 1.0) * self.known[key].wine_sd) ** 2
            made[key, 'steadiness'] = max(0.0, one.noise**2 - self.panel[key].noise ** 2)
        return made

    def practise(self, key: str, aspect: str) -> None:
        """Halve what is off at this point."""
        one, usual = self.by[key], self.panel[key].noise
        self.by[key] = {
            'severity': replace(one, severity=one.severity / 2),
            'spread': replace(one, spread=1.0 + (one.spread - 1.0) / 2),
            'steadiness': replace(
                one, noise=float(np.sqrt(min(one.noise**2, (one.noise**2 + usual**2) / 2)))
            ),
        }[aspect]

    def agreement(self) -> float:
        """Correlation of totals with the panel, wines differing in all categories together."""
        told = sum(one.spread * self.known[key].wine_sd for key, one in self.by.items())
        return float(told / np.sqrt(told**2 + sum(one.noise**2 for one in self.by.values())))


def whole_learner(rng: np.random.Generator, *, unlike: bool, weak: bool) -> Whole:
    """A learner, with a weak point where asked for."""
    panel = {key: panel_prior(row[0], 0.26, row[1]) for key, row in CATEGORIES.items()}
    known = {
        key: known_of(APART * row[2], row[3], row[4], 0.7 * SHEET.category(key).top)
        for key, row in CATEGORIES.items()
    }
    by = {key: draw(rng, panel[key], unlike=unlike) for key in CATEGORIES}
    if weak:
        aspect = rng.choice(ASPECTS)
        # Where wines hardly differ, no use of the scale can cost much.
        key = str(rng.choice(['aroma', 'taste'] if aspect == 'spread' else list(CATEGORIES)[1:]))
        side = rng.choice([-1.0, 1.0])
        usual = panel[key].noise
        by[key] = {
            'severity': replace(by[key], severity=side * WEAK),
            'spread': replace(by[key], spread=1.0 + side * WEAK / known[key].wine_sd),
            'steadiness': replace(by[key], noise=float(np.hypot(usual, WEAK))),
        }[aspect]
    return Whole(by, panel, known)


def advised(
    rng: np.random.Generator, whole: Whole, wines: int, priors: dict[str, Prior]
) -> tuple[tuple[Point, ...], dict[str, Calibration]]:
    """What practice would name after these wines."""
    found = {}
    for key, one in whole.by.items():
        mark, wine, reference = marked(rng, one, wines, 0, whole.known[key])
        found[key] = calibrate(mark, wine, reference, priors[key])
    return points(found, whole.known, whole.panel, SHEET), found


def pick(learners: int, seed: int, *, weak: bool) -> dict[str, float]:
    """How often the point named first is the one that truly costs most."""
    rng = np.random.default_rng(seed)
    right, close, clear, clear_right = 0, 0, 0, 0
    for _ in range(learners):
        whole = whole_learner(rng, unlike=False, weak=weak)
        ranked, _ = advised(rng, whole, FLIGHT * FLIGHTS, whole.panel)
        costs = whole.costs()
        best = max(costs, key=lambda at: costs[at])
        named = (ranked[0].category, ranked[0].aspect)
        second = sorted(costs.values())[-2]
        right += named == best
        close += costs[named] >= 0.8 * costs[best]
        clear += costs[best] > 2 * second
        clear_right += costs[best] > 2 * second and named == best
    return {
        'right': right / learners,
        'nearly_as_costly': close / learners,
        'clear': clear / learners,
        'right_where_clear': clear_right / clear,
    }


def learn(learners: int, seed: int) -> dict[str, list[float]]:
    """Agreement and squared gap after each session, with advice and with a point at random."""
    rng = np.random.default_rng(seed)
    figures = {name: np.zeros(SESSIONS + 1) for name in ('advice', 'random', 'gap', 'gap_random')}
    for _ in range(learners):
        first = whole_learner(rng, unlike=True, weak=False)
        with_advice, at_random = (Whole(dict(first.by), first.panel, first.known) for _ in range(2))
        priors = dict(first.panel)
        for session in range(SESSIONS + 1):
            figures['advice'][session] += with_advice.agreement()
            figures['random'][session] += at_random.agreement()
            figures['gap'][session] += sum(with_advice.costs().values())
            figures['gap_random'][session] += sum(at_random.costs().values())
            ranked, found = advised(rng, with_advice, FLIGHT, priors)
            for key, one in found.items():
                priors[key] = carried(
                    first.panel[key], one.severity, one.spread, one.noise, KEPT_TO_NEXT_SESSION
                )
            with_advice.practise(ranked[0].category, ranked[0].aspect)
            at_random.practise(str(rng.choice(list(CATEGORIES))), str(rng.choice(ASPECTS)))
    return {name: (row / learners).round(4).tolist() for name, row in figures.items()}


def main() -> int:
    """Measure, print, keep; 1 when a figure misses what it is meant to be."""
    parser = argparse.ArgumentParser()
    parser.add_argument('--learners', type=int, default=400)
    count = parser.parse_args().learners
    on = machine()
    print(describe(on))
    figures: dict[str, object] = {'learners': count, 'weak_point': WEAK}
    recovered = {}
    for set_name, wine_sd in WINE_SD.items():
        for kind, share in KINDS.items():
            name = f'learners {kind}, wines {set_name}'
            recovered[name] = found = recover(wine_sd, count, 7, share)
            rows = [(key, f'r {r:.2f}, held {held:.1%}') for key, (r, held) in found.items()]
            print_table(name, rows)
    figures['recovered'] = recovered
    picked = {'weak point': pick(count, 8, weak=True), 'as drawn': pick(count, 9, weak=False)}
    for name, shares in picked.items():
        print_table(f'advice, learners {name}', [(k, f'{v:.2f}') for k, v in shares.items()])
    learned = learn(max(20, count // 4), 10)
    for name, row in learned.items():
        print(f'  {name:<12}', ' '.join(f'{value:.3f}' for value in row))
    seconds = _speed()
    print(f'  one calibration of 24 wines: {1000 * seconds:.1f} ms')
    figures |= {'picked': picked, 'learned': learned, 'seconds_a_calibration': seconds}
    keep('teach', on, figures)
    unlike, both = (
        recovered[f'learners {kind}, wines chosen far apart']
        for kind in ('unlike the panel', 'of both kinds')
    )
    missed = [
        *(name for name in ('severity', 'spread', 'noise') if unlike[name][0] < 0.9),
        *(f'{name} held' for name, (_, held) in both.items() if not 0.92 <= held <= 0.98),
        *(['pick'] if picked['weak point']['right'] < 0.8 else []),
        *(['learn'] if learned['gap'][-1] >= learned['gap_random'][-1] else []),
        *(['agree'] if learned['advice'][-1] <= learned['random'][-1] else []),
    ]
    print('missed:', ', '.join(missed) if missed else 'nothing')
    return 1 if missed else 0


def _speed() -> float:
    rng = np.random.default_rng(1)
    known = known_of(2.0, BOTTLE_SD, REFERENCE_SE, 14.5)
    mark, wine, reference = marked(rng, draw(rng, PANEL, unlike=False), 24, 0, known)
    began = time.perf_counter()
    for _ in range(20):
        calibrate(mark, wine, reference, PANEL)
    return (time.perf_counter() - began) / 20


if __name__ == '__main__':
    raise SystemExit(main())
