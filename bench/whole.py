"""Everything in `results` for 24,000 sheets of five categories; 1,000 drawn ellipses."""

from __future__ import annotations

import math
import statistics
import sys
import time
import warnings

import numpy as np
import pandas as pd
import polars as pl
import statsmodels
from statsmodels.regression.mixed_linear_model import MixedLM

from halfpoint.aroma.correspondence import correspond, wine_ellipses
from halfpoint.aroma.ticks import Ticks
from halfpoint.aroma.words import SheetWords
from halfpoint.estimate.findings import Findings
from halfpoint.estimate.result import About, Model
from halfpoint.estimate.weigh import MarkToWeigh
from halfpoint.publish.whole_result import whole_result
from measure.figures import describe, keep, machine, print_table
from measure.runs import seconds_of

SEED = 20
TASTERS, WINES, ROOMS, WORDS = 2000, 12, 100, 30
RUNS = 3
MOST_SECONDS, MOST_ELLIPSES = 10.0, 2.0
SLICE = 500
TOPS = {'appearance': 3.0, 'aroma': 6.0, 'taste': 6.0, 'aftertaste': 3.0, 'overall': 2.0}
MARKS = (
    MarkToWeigh('total', "Total", 20.0, 0.0, 0.5),
    *(MarkToWeigh(key, key.capitalize(), top, 0.0, 0.5) for key, top in TOPS.items()),
)


def draw_sheets() -> tuple[pl.DataFrame, Ticks]:
    """Everyone has every wine, in an order of their own; severity, rooms and bottles differ."""
    rng = np.random.default_rng(SEED)
    taster, wine = (part.ravel() for part in np.indices((TASTERS, WINES)))
    site = taster // (TASTERS // ROOMS)
    worth = (
        rng.normal(0, 0.8, WINES)[wine]
        + rng.normal(0, 1.0, TASTERS)[taster]
        + rng.normal(0, 0.3, ROOMS)[site]
        + rng.normal(0, 0.4, (ROOMS, WINES))[site, wine]
    )
    marks = {}
    for key, top in TOPS.items():
        drawn = 0.72 * top + top / 20 * worth + rng.normal(0, 0.11 * top, wine.size)
        marks[key] = np.clip(np.round(2 * drawn) / 2, 0, top)
    ticked = rng.random((wine.size, WORDS)) < (0.2 * rng.random((WINES, WORDS)))[wine]
    words = [f'word{number}' for number in range(WORDS)]
    order = np.tile(np.arange(1, WINES + 1), (TASTERS, 1))
    frame = pl.DataFrame({
        'taster': [f't{number}' for number in taster],
        'site': [f's{number}' for number in site],
        'wine': [f'w{number:02}' for number in wine],
        'position': rng.permuted(order, axis=1).ravel(),
        **marks,
        'total': sum(marks.values()),
        'terms': [[words[k] for k in np.flatnonzero(row)] for row in ticked],
        'faults': [['cork'] if draw < 0.02 else [] for draw in rng.random(wine.size)],
        'finish_seconds': rng.gamma(4.0, 6.0, wine.size).round(),
        'remark': [
            '' if number % 3 else "some word1, then word22 in a long finish"
            for number in range(wine.size)
        ],
    })  # fmt: skip
    return frame, Ticks(taster, wine, ticked, WINES, TASTERS)


def whole(frame: pl.DataFrame) -> Findings:
    """Everything."""
    words = SheetWords({f'word{k}': f'word{k}' for k in range(WORDS)}, {}, {'cork': "cork"})
    model = Model(covariates=('position',))
    return whole_result(frame, MARKS, model, About("Drawn", "", "drawn"), words=words)


def peers(frame: pl.DataFrame) -> dict[str, float]:
    """Seconds of plain averages of every category, and of one mixed model of part of the totals.

    The model of statsmodels has wines, places and a taster's intercept; rooms and bottles, which
    cross, it does not take in this form.
    """
    averages = seconds_of(lambda: frame.group_by('wine').agg(pl.col(*TOPS, 'total').mean()), RUNS)
    columns = frame.select('taster', 'wine', 'position', 'total').head(SLICE * WINES)
    some = pd.DataFrame(columns.to_dict(as_series=False))
    began = time.perf_counter()
    with warnings.catch_warnings():
        warnings.simplefilter('ignore')
        MixedLM.from_formula('total ~ C(wine) + position', groups='taster', data=some).fit()
    return {
        'plain averages, polars': statistics.median(averages[1]),
        f'one MixedLM of {SLICE * WINES:,} totals, statsmodels {statsmodels.__version__}':
            time.perf_counter() - began,
    }  # fmt: skip


def main() -> int:
    """Measure, print, keep; 1 when a figure misses what it is meant to be."""
    on = machine()
    frame, ticks = draw_sheets()
    found, walls = seconds_of(lambda: whole(frame), RUNS)
    wall = statistics.median(walls)
    axes = correspond(ticks.table().astype(np.float64))
    ellipses, drawn = seconds_of(
        lambda: wine_ellipses(ticks, list(range(WORDS)), axes, draws=1000, seed=SEED), RUNS
    )
    ellipse = statistics.median(drawn)
    there = all((found.total.ordinal, found.scale, found.panel, found.by_taster, found.aroma))
    beside = peers(frame)
    rows = [
        (f'everything, {frame.height:,} sheets of {len(TOPS)} categories',
         f'{wall:.1f} s (meant: under {MOST_SECONDS:g} s)'),
        ('1,000 bootstrap ellipses', f'{ellipse:.2f} s (meant: under {MOST_ELLIPSES:g} s)'),
        *((f'beside it, {name}', f'{seconds:.2f} s') for name, seconds in beside.items()),
    ]  # fmt: skip
    print_table(f'bench/whole.py on {describe(on)}, seed {SEED}', rows)
    figures = {'whole_seconds': wall, 'ellipses_seconds': ellipse, 'beside': beside,
               'sheets': frame.height, 'runs': RUNS}  # fmt: skip
    keep('whole', on, {name: _short(value) for name, value in figures.items()})
    good = there and wall < MOST_SECONDS and ellipse < MOST_ELLIPSES and any(ellipses)
    return 0 if good and math.isfinite(wall) else 1


def _short(value: object) -> object:
    if isinstance(value, dict):
        return {name: _short(inner) for name, inner in value.items()}
    return round(value, 3) if isinstance(value, float) else value


if __name__ == '__main__':
    sys.exit(main())
