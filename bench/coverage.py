"""Is what the result says true? Simulated tastings of 20 sites, 12 tasters each, 8 wines.

Truthfulness is a share over many tastings, so each figure carries its Monte Carlo standard
error: that of the mean over tastings, whose wines and pairs are not independent.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from itertools import pairwise
from multiprocessing import get_context

import numpy as np
from numpy.typing import NDArray

from halfpoint.demo.marks import Components, HalfPoints, simulate_marks
from halfpoint.estimate.findings import MarkFindings
from halfpoint.estimate.weigh import weigh_mark
from measure.figures import describe, keep, machine, print_table

Floats = NDArray[np.float64]

TASTINGS, SITES, TASTERS, WINES = 1_000, 20, 12, 8
PROCESSES = 2
LEVEL = 0.05
EFFECTS = ('taster', 'site', 'bottle')
TRUE = {name: value**2 for name, value in asdict(Components()).items()}
# True scores of the tastings under a ceiling of 20.
HIGH = np.array([14.0, 15.0, 16.0, 16.5, 17.0, 17.5, 18.0, 18.5])


@dataclass(frozen=True, slots=True)
class Share:
    """A mean over tastings, its Monte Carlo standard error, and where it is meant to be."""

    what: str
    value: float
    error: float
    low: float | None = None
    high: float | None = None

    @property
    def good(self) -> bool:
        """Whether it is where it is meant to be."""
        low = -np.inf if self.low is None else self.low
        high = np.inf if self.high is None else self.high
        return bool(low <= self.value <= high)

    def row(self) -> tuple[str, str]:
        """Label and text for the table."""
        meant = '' if self.high is None else f'   meant: {self._meant()}'
        return self.what, f'{self.value:.4f} ± {self.error:.4f}{meant}'

    def _meant(self) -> str:
        return f'at most {self.high}' if self.low is None else f'{self.low} to {self.high}'


def _weigh(wines: Floats, seed: int, rounding: HalfPoints | None = None) -> MarkFindings:
    """One tasting, drawn from the model of the estimate and weighed."""
    rng = np.random.default_rng([2026, seed])
    frame = simulate_marks(rng, wines, SITES, TASTERS, rounding=rounding)
    return weigh_mark(frame, effects=EFFECTS, seed=seed)


def _number(value: float | None) -> float:
    return np.nan if value is None else value


def alike(seed: int) -> list[float]:
    """All wines alike: is each interval right, how often is a difference claimed?"""
    found = _weigh(np.full(WINES, 14.0), seed)
    wines = [_number(w.low) <= 14.0 <= _number(w.high) for w in found.wines]
    joint = [pair.low <= 0.0 <= pair.high for pair in found.pairs]
    parts = {
        name: _number(part.low) <= TRUE[name] <= _number(part.high)
        for name, part in found.components.items()
    }
    assert found.wine_test is not None
    return [
        float(np.mean(wines)),
        float(np.mean([pair.p < LEVEL for pair in found.pairs])),
        float(any(pair.p_adjusted < LEVEL for pair in found.pairs)),
        float(all(joint)),
        float(found.wine_test.p < LEVEL),
        *(float(parts[name]) for name in TRUE),
    ]


def different(seed: int) -> list[float]:
    """Wines that differ by a standard deviation of half a point: who is said to be best?"""
    truth = np.random.default_rng([7, seed]).normal(14.0, 0.5, WINES)
    found = _weigh(truth, seed)
    leader, best = found.wines[0], f'w{int(np.argmax(truth)) + 1}'
    places = {f'w{i + 1}': int((truth > truth[i]).sum()) + 1 for i in range(WINES)}
    inside = [_number(w.rank_low) <= places[w.wine] <= _number(w.rank_high) for w in found.wines]
    return [float(leader.wine == best), _number(leader.p_best), float(np.mean(inside))]


def under_a_ceiling(seed: int) -> list[float]:
    """Half points and a top of 20: how far each wine's score is from the truth."""
    found = _weigh(HIGH, seed, HalfPoints())
    scores = {wine.wine: _number(wine.adjusted) for wine in found.wines}
    return [scores[f'w{i + 1}'] - HIGH[i] for i in range(WINES)]


def over_tastings(one: Callable[[int], list[float]], tastings: int) -> Floats:
    """Outcomes (tastings, figures) of seeds 0, 1, … in two processes."""
    with ProcessPoolExecutor(PROCESSES, mp_context=get_context('spawn')) as pool:
        return np.array(list(pool.map(one, range(tastings), chunksize=25)))


def shares(outcomes: Floats, asked: list[tuple[str, float | None, float | None]]) -> list[Share]:
    """Mean and standard error of each figure, with where it is meant to be."""
    means = outcomes.mean(axis=0)
    errors = outcomes.std(axis=0, ddof=1) / np.sqrt(len(outcomes))
    return [
        Share(what, float(mean), float(error), low, high)
        for (what, low, high), mean, error in zip(asked, means, errors, strict=True)
    ]


def calibration(outcomes: Floats) -> list[dict[str, float]]:
    """Tastings by the leader's chance to be best: the chance said, and how often it was."""
    edges = [0.0, 0.5, 0.7, 0.9, 1.01]
    right, said = outcomes[:, 0], outcomes[:, 1]
    made = []
    for low, high in pairwise(edges):
        chosen = (said >= low) & (said < high)
        count = int(chosen.sum())
        if count:
            mean, share = float(said[chosen].mean()), float(right[chosen].mean())
            error = float(np.sqrt(max(share * (1.0 - share), 1e-9) / count))
            made.append({'tastings': count, 'said': mean, 'was': share, 'error': error})
    return made


def main() -> int:
    """Simulate, print, keep; 1 when a figure is not where it is meant to be."""
    on = machine()
    same = shares(
        over_tastings(alike, TASTINGS),
        [
            ('95 % intervals of wines hold', 0.94, 0.96),
            ('pair called different when alike (5 %)', 0.04, 0.06),
            ('any pair called different, adjusted (5 %)', None, 0.06),
            ('all joint intervals of pairs hold', None, None),
            ('F test calls wines different (5 %)', None, None),
            *((f'95 % interval of {name} holds', None, None) for name in TRUE),
        ],
    )
    led = over_tastings(different, TASTINGS)
    best = shares(
        led,
        [
            ('the leader is the best wine', None, None),
            ('the chance said for it', None, None),
            ('90 % intervals of places hold', None, None),
        ],
    )
    steps = calibration(led)
    high = over_tastings(under_a_ceiling, TASTINGS)
    bias = shares(high, [(f'a wine of {score:g}: bias', None, None) for score in HIGH])
    rows = [share.row() for share in (*same, *best, *bias)]
    rows += [
        (
            f'chance to be best {step["said"]:.2f} ({step["tastings"]} tastings)',
            f'was best in {step["was"]:.3f} ± {step["error"]:.3f}',
        )
        for step in steps
    ]
    title = f'{TASTINGS:,} simulated tastings: {SITES} sites, {TASTERS} tasters each, {WINES} wines'
    print_table(title, [('machine', describe(on)), *rows])
    kept = {
        'tastings': TASTINGS,
        'components': TRUE,
        'alike': [asdict(share) for share in same],
        'different': [asdict(share) for share in best],
        'best': steps,
        'ceiling': [asdict(share) for share in bias],
    }
    keep('coverage', on, kept)
    return 0 if all(share.good for share in same) else 1


if __name__ == '__main__':
    sys.exit(main())
