"""Ordered steps: against R's clmm and statsmodels, at 400,000 marks, and beside a result."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import polars as pl

from halfpoint.demo.marks import Components, HalfPoints, simulate_marks
from halfpoint.estimate.ordinal.fit import OrdinalFit, ordinal_fit
from halfpoint.estimate.ordinal.from_weighing import check_weighed
from halfpoint.estimate.ordinal.links import Link
from halfpoint.estimate.say import say_mark
from halfpoint.estimate.threads import calm_threads
from halfpoint.estimate.weigh import MarkToWeigh, fit_one, prepare
from measure.figures import describe, keep, machine, print_table
from measure.peer_ordinal import HINT, PeerSteps, fit_with_clmm, fit_with_statsmodels
from measure.runs import seconds_of

SEED = 20
TIMES = 15
LEAST_RATIO = 200.0
MOST_LARGE = 20.0
MOST_CHECKS = 5.0
WORTH = np.array([-0.8, -0.5, -0.2, 0.0, 0.1, 0.3, 0.4, 0.7])
THRESHOLDS = np.array([-2.5, -1.2, 0.0, 1.2, 2.5])
TOPS = {'appearance': 3.0, 'aroma': 6.0, 'taste': 6.0, 'aftertaste': 3.0, 'overall': 2.0}


def draw_steps(tasters: int, sites: int) -> pl.DataFrame:
    """Everyone marks 8 wines in 6 steps; tasters, and bottles where there are rooms, differ."""
    rng = np.random.default_rng(SEED)
    taster, wine = (part.ravel() for part in np.indices((tasters, WORTH.size)))
    site = taster % sites
    hidden = WORTH[wine] + rng.normal(0.0, 1.2, tasters)[taster] + rng.logistic(size=wine.size)
    if sites > 1:
        hidden += rng.normal(0.0, 0.4, (sites, WORTH.size))[site, wine]
    step = np.searchsorted(THRESHOLDS, hidden)
    columns = {'step': step, 'wine': wine, 'taster': taster, 'site': site}
    return pl.DataFrame({**columns, 'bottle': site * WORTH.size + wine})


@dataclass(frozen=True, slots=True)
class Leg:
    """One fit by both: link and nodes, our seconds and log-likelihood, the peer's."""

    name: str
    ours: float
    loglik: float
    peer: PeerSteps | None

    @property
    def good(self) -> bool:
        """Whether it is as fast and as high as meant."""
        if self.peer is None:
            return True
        higher = self.loglik >= self.peer.loglik - 1e-6
        return higher and self.peer.seconds >= LEAST_RATIO * self.ours


def fitting(frame: pl.DataFrame, **options: object) -> Callable[[], OrdinalFit]:
    """A fit of a frame's steps with tasters."""
    step, wine, taster = (frame[name].to_numpy() for name in ('step', 'wine', 'taster'))
    return lambda: ordinal_fit(step, wine, taster, **options)  # type: ignore[arg-type]


def race(frame: pl.DataFrame, link: Link, nodes: int) -> Leg:
    """Ours before and after the peer's one run."""
    fit = fitting(frame, link=link, nodes=nodes)
    found, before = seconds_of(fit, TIMES)
    peer = fit_with_clmm(frame, link, nodes)
    walls = before + seconds_of(fit, TIMES)[1]
    name = f'{link}, {"Laplace" if nodes == 1 else f"{nodes} nodes"}'
    return Leg(name, statistics.median(walls), found.loglik, peer)


def race_fixed(frame: pl.DataFrame) -> Leg:
    """Without tasters, against statsmodels."""
    step, wine = frame['step'].to_numpy(), frame['wine'].to_numpy()
    found, walls = seconds_of(lambda: ordinal_fit(step, wine), TIMES)
    peer = fit_with_statsmodels(frame)
    return Leg('logit, no tasters', statistics.median(walls), found.loglik, peer)


def rows_of(legs: list[Leg]) -> Iterator[tuple[str, str]]:
    """A line a leg."""
    for leg in legs:
        ours = f'{1000.0 * leg.ours:.1f} ms, log-likelihood {leg.loglik:.6f}'
        if leg.peer is None:
            yield leg.name, f'{ours}; {HINT}'
            continue
        ratio, gain = leg.peer.seconds / leg.ours, leg.loglik - leg.peer.loglik
        peer = f'{leg.peer.version}: {leg.peer.seconds:.3f} s'
        yield leg.name, f'{ours}; {peer}; {ratio:.0f} times faster, {gain:+.1e} higher'


def large() -> dict[str, float]:
    """Seconds at 400,000 marks, tasters alone by quadrature and with rooms by Laplace."""
    frame = draw_steps(50_000, 500)
    site, bottle = frame['site'].to_numpy(), frame['bottle'].to_numpy()
    runs = {
        'tasters, 7 nodes': fitting(frame, nodes=7),
        'tasters, Laplace': fitting(frame, nodes=1),
        'tasters, rooms and bottles, Laplace': fitting(frame, site=site, bottle=bottle),
    }
    seconds = {}
    for name, run in runs.items():
        start = time.perf_counter()
        run()
        seconds[name] = round(time.perf_counter() - start, 2)
    return seconds


def draw_sheets() -> pl.DataFrame:
    """24,000 sheets: 150 rooms of 20 tasters, 8 wines, five categories and their total."""
    rng = np.random.default_rng(SEED)
    made: list[pl.DataFrame] = []
    for name, top in TOPS.items():
        size = top / 12.0
        spread = Components(size, 0.3 * size, 0.4 * size, 1.5 * size)
        wines = 0.7 * top + size * np.linspace(-0.6, 0.6, 8)
        marks = simulate_marks(rng, wines, 150, 20, spread, rounding=HalfPoints(top=top))
        made.append(marks.rename({'total': name}))
    joined = made[0].with_columns(
        [more[name] for more, name in zip(made[1:], [*TOPS][1:], strict=True)]
    )
    return joined.with_columns(total=pl.sum_horizontal([*TOPS]))


def checks() -> tuple[dict[str, float], float]:
    """Seconds of the check of each kind of mark, and of the main estimate of all."""
    frame = draw_sheets()
    seconds, main_seconds = {}, 0.0
    with calm_threads():
        weighing = prepare(frame, ['total', *TOPS])
        for name in ('total', *TOPS):
            start = time.perf_counter()
            said = say_mark(fit_one(weighing, name), MarkToWeigh(name, name), SEED)
            between = time.perf_counter()
            check_weighed(weighing.design, name, said)
            main_seconds += between - start
            seconds[name] = round(time.perf_counter() - between, 3)
    return seconds, main_seconds


def main() -> int:
    """Print and keep the figures; 1 when slower or lower than meant."""
    on = machine()
    frame = draw_steps(250, 1)
    legs = [race(frame, 'logit', 1), race(frame, 'probit', 1), race(frame, 'logit', 7)]
    fixed = race_fixed(frame)
    at_scale = large()
    each, main_seconds = checks()
    whole = sum(each.values())
    rows = [
        ('machine', describe(on)),
        ('marks', f'{frame.height:,}: 250 tasters, 8 wines, 6 steps (seed {SEED})'),
        *rows_of([*legs, fixed]),
        *((f'400,000 marks, {name}', f'{seconds:.1f} s') for name, seconds in at_scale.items()),
        ('24,000 sheets', f'{whole:.2f} s for total and 5 categories, each {each}'),
        ('its main estimate', f'{main_seconds:.2f} s'),
    ]
    print_table("Marks as ordered steps", rows)
    good = all(leg.good for leg in legs) and max(at_scale.values()) < MOST_LARGE
    if all(leg.peer is not None for leg in legs):
        keep('ordinal', on, _figures([*legs, fixed], at_scale, each, main_seconds))
    return 0 if good and whole < MOST_CHECKS else 1


def _figures(
    legs: list[Leg], at_scale: dict[str, float], each: dict[str, float], main_seconds: float
) -> dict[str, object]:
    return {
        'seed': SEED,
        'races': [
            {
                'fit': leg.name,
                'seconds': round(leg.ours, 5),
                'loglik': leg.loglik,
                'peer': leg.peer.version if leg.peer else None,
                'peer_seconds': leg.peer.seconds if leg.peer else None,
                'peer_loglik': leg.peer.loglik if leg.peer else None,
                'ratio': round(leg.peer.seconds / leg.ours, 1) if leg.peer else None,
            }
            for leg in legs
        ],
        'seconds_at_400000_marks': at_scale,
        'seconds_of_checks_of_24000_sheets': each,
        'seconds_of_the_main_estimate': round(main_seconds, 3),
    }


if __name__ == '__main__':
    sys.exit(main())
