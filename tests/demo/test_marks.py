"""Bare totals for benches follow the model. Outside: NumPy and SciPy, and theory."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from scipy import stats

from halfpoint.demo.marks import Components, HalfPoints, simulate_marks

WINES = np.array([15.5, 15.0, 14.0, 13.0])


def _table(frame: pl.DataFrame, wines: int) -> np.ndarray:
    return frame['total'].to_numpy().reshape(-1, wines)


def test_one_row_per_taster_and_wine() -> None:
    """Every taster marks every wine of the site, once at each place."""
    frame = simulate_marks(np.random.default_rng(1), WINES, 3, 5)
    assert ['taster', 'site', 'wine', 'position', 'total'] == frame.columns
    assert (3 * 5 * 4, 15, 3, 4) == (
        len(frame), frame['taster'].n_unique(), frame['site'].n_unique(), frame['wine'].n_unique(),
    )  # fmt: skip
    places = frame.group_by('taster').agg(pl.col('position').sort())['position'].to_list()
    assert all(own == [1, 2, 3, 4] for own in places)
    assert 1 == frame.group_by('taster').agg(pl.col('site').n_unique())['site'].max()


def test_same_seed_same_marks() -> None:
    """The same generator state gives the same frame."""
    one, two = (simulate_marks(np.random.default_rng(7), WINES, 4, 6) for _ in range(2))
    assert one.equals(two)


def test_mean_squares_have_their_expectations() -> None:
    """Mean squares of the balanced layout are scaled chi-square with the means theory gives."""
    # Expected mean squares of the balanced split plot: Searle, Casella & McCulloch (1992),
    # Variance Components, chapter 4 (from memory). Ranges: SciPy.
    sites, tasters, wines = 60, 20, len(WINES)
    sd = Components(taster=1.0, site=0.5, bottle=0.4, residual=1.25)
    frame = simulate_marks(np.random.default_rng(21), WINES, sites, tasters, sd)
    marks = _table(frame, wines).reshape(sites, tasters, wines)
    cell, person, room = marks.mean(axis=1), marks.mean(axis=2), marks.mean(axis=(1, 2))
    left = marks - cell[:, None, :] - person[:, :, None] + room[:, None, None]
    mixed = cell - room[:, None] - cell.mean(axis=0) + cell.mean()
    expectations = [
        (np.sum(left**2), sites * (tasters - 1) * (wines - 1), sd.residual**2),
        (
            wines * np.sum((person - room[:, None]) ** 2),
            sites * (tasters - 1),
            sd.residual**2 + wines * sd.taster**2,
        ),
        (
            tasters * np.sum(mixed**2),
            (sites - 1) * (wines - 1),
            sd.residual**2 + tasters * sd.bottle**2,
        ),
        (
            tasters * wines * np.sum((room - room.mean()) ** 2),
            sites - 1,
            sd.residual**2
            + wines * sd.taster**2
            + tasters * sd.bottle**2
            + tasters * wines * sd.site**2,
        ),
    ]
    for square, df, expected in expectations:
        low, high = stats.chi2.interval(0.999, df, scale=expected)
        assert low < square < high


def test_wines_keep_their_scores() -> None:
    """Without anything added, a wine's mark is its true score."""
    still = Components(0, 0, 0, 0)
    frame = simulate_marks(np.random.default_rng(2), WINES, 2, 3, still)
    assert np.all(_table(frame, 4) == WINES)


def test_slope_is_about_the_middle_place() -> None:
    """A place later adds the slope, and the mean over places is not moved."""
    still = Components(0, 0, 0, 0)
    frame = simulate_marks(np.random.default_rng(3), WINES * 0, 2, 4, still, position_slope=-0.5)
    shown = dict(frame.group_by('position').agg(pl.col('total').first()).iter_rows())
    assert {1: 0.75, 2: 0.25, 3: -0.25, 4: -0.75} == shown


def test_half_points_and_ceiling() -> None:
    """With rounding, marks are half points, and none is above the top."""
    frame = simulate_marks(
        np.random.default_rng(4), WINES + 4, 10, 10, rounding=HalfPoints(step=0.5, top=20)
    )
    total = frame['total'].to_numpy()
    assert np.all(total * 2 == np.round(total * 2))
    assert 20 == total.max()


def test_share_of_marks_is_missing() -> None:
    """The share asked for is left out (binomial 99.9 % range, SciPy)."""
    frame = simulate_marks(np.random.default_rng(5), WINES, 20, 50, missing=0.2)
    low, high = stats.binom.interval(0.999, 4000, 0.8)
    assert low <= len(frame) <= high


def test_rows_come_by_taster_then_wine() -> None:
    """The order of rows is that of labels, which are known without looking at the data."""
    frame = simulate_marks(np.random.default_rng(6), WINES, 2, 2)
    assert ['t1'] * 4 + ['t2'] * 4 == frame['taster'].cast(pl.String).to_list()[:8]
    assert ['w1', 'w2', 'w3', 'w4'] == frame['wine'].cast(pl.String).to_list()[:4]
    assert pytest.approx([1, 2, 4, 3]) == frame['position'].to_list()[:4]
