"""halfpoint against lme4 on the same marks in the same run."""

from __future__ import annotations

import statistics
from collections.abc import Callable
from dataclasses import dataclass

import polars as pl

from halfpoint.estimate.weigh import Fit
from measure.figures import describe, keep, machine, print_table
from measure.peer import HINT, PeerFit, fit_with_lme4
from measure.runs import seconds_of

# Runs before the peer and again after it, since other work on the machine comes and goes.
TIMES = 3
# A criterion this little above the peer's (relative) is equal.
EQUAL = 1e-9


@dataclass(frozen=True, slots=True)
class Race:
    """A model to fit by both, and how many times faster halfpoint is meant to be."""

    name: str
    title: str
    seed: int
    frame: pl.DataFrame
    fit: Callable[[], Fit]
    formula: str
    least_ratio: float


def run_race(race: Race) -> int:
    """Fit by both, print and keep the figures; 1 when slower or worse than meant."""
    on = machine()
    fitted, before = seconds_of(race.fit, TIMES)
    peer = fit_with_lme4(race.frame, race.formula)
    walls = before + seconds_of(race.fit, TIMES)[1]
    seconds = statistics.median(walls)
    rows = [
        ('machine', describe(on)),
        ('marks', f'{race.frame.height:,} (seed {race.seed})'),
        ('halfpoint', f'{seconds:.3f} s (median of {2 * TIMES}; first {walls[0]:.3f} s)'),
        ('its criterion', f'{fitted.reml.value:.6f}'),
    ]
    if peer is None:
        print_table(race.title, [*rows, ('peer', HINT)])
        return 0
    ratio = peer.seconds / seconds
    above = fitted.reml.value - peer.criterion
    rows += [
        ('lme4', f'{peer.seconds:.2f} s, once ({peer.version})'),
        ('its criterion', f'{peer.criterion:.6f} (halfpoint less lme4: {above:+.2e})'),
        ('its warnings', '; '.join(peer.warnings) or 'none'),
        ('ratio', f'{ratio:.1f} times faster (meant: {race.least_ratio:g} at least)'),
    ]
    print_table(race.title, rows)
    keep(race.name, on, _figures(race, fitted, walls, peer))
    good = ratio >= race.least_ratio and above <= EQUAL * abs(peer.criterion)
    return 0 if good else 1


def _figures(race: Race, fitted: Fit, walls: list[float], peer: PeerFit) -> dict[str, object]:
    seconds = statistics.median(walls)
    return {
        'title': race.title,
        'marks': race.frame.height,
        'seed': race.seed,
        'halfpoint': {
            'seconds': round(seconds, 4),
            'each': [round(wall, 4) for wall in walls],
            'criterion': fitted.reml.value,
            'variances': fitted.reml.variances(),
        },
        'lme4': {
            'formula': race.formula,
            'seconds': peer.seconds,
            'criterion': peer.criterion,
            'variances': peer.variances,
            'warnings': peer.warnings,
            'version': peer.version,
        },
        'ratio': round(peer.seconds / seconds, 1),
        'criterion_less_that_of_lme4': fitted.reml.value - peer.criterion,
    }
