"""What goes with a term: penalty in a small table, regression within tasters, medians.

1. Twenty marks checkable by hand; t tests by base R 4.2.2 (t.test, pooled and Welch).
2. The regression within tasters and its error by taster against statsmodels' OLS with dummies
   and cluster covariance; its factor is turned into ours, G/(G-1) over telling tasters.
3. Medians: SciPy's quantile_test.
"""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import quantile_test, ttest_ind

from halfpoint.aroma.finish import median_interval
from halfpoint.aroma.goes_with import Penalty, goes_with, penalty

LOW = np.array([9, 10, 11, 11.5, 12, 12.5])
RIGHT = np.array([14, 14.5, 15, 15, 15.5, 15.5, 16, 16, 16.5, 17])
HIGH = np.array([13, 13.5, 14, 12.5])
EXPECTED = {
    'low': Penalty(6, 0.3, 11, 4.5, 8.15139942, 14, 1.100203214e-06, 7.431505415, 7.98972854,
                   7.443037208e-05, 1.35),
    'high': Penalty(4, 0.2, 13.25, 2.25, 4.453844934, 12, 0.000787561739, 5.196152423,
                    8.010989011, 0.000822678535, 0.45),
    'both': Penalty(10, 0.5, 11.9, 3.6, 6.29868791, 18, 6.148737684e-06, 6.29868791, 14.51729929,
                    1.658858221e-05, 1.8),
}  # fmt: skip


@pytest.mark.parametrize('name', EXPECTED)
def test_penalty(name: str) -> None:
    """Means, drops and tests are those of R, and the means those of a pencil."""
    group = {'low': LOW, 'high': HIGH, 'both': np.concatenate([LOW, HIGH])}[name]
    found, expected = penalty(group, RIGHT, 20), EXPECTED[name]
    for part in Penalty.__dataclass_fields__:
        assert pytest.approx(getattr(expected, part), rel=1e-9) == getattr(found, part), part


def test_penalty_in_scipy() -> None:
    """Both t tests are SciPy's."""
    found = penalty(LOW, RIGHT, 20)
    pooled, welch = ttest_ind(RIGHT, LOW), ttest_ind(RIGHT, LOW, equal_var=False)
    assert pytest.approx((pooled.statistic, pooled.pvalue), rel=1e-12) == (found.t, found.p)
    assert pytest.approx((welch.statistic, welch.pvalue), rel=1e-12) == (
        found.welch_t,
        found.welch_p,
    )


@pytest.mark.parametrize('seed', range(5))
def test_within_tasters(seed: int) -> None:
    """Change and standard error are those of a regression with a dummy for each taster."""
    rng = np.random.default_rng(seed)
    taster = np.repeat(np.arange(30), 6)
    ticked = rng.random(180) < 0.4
    mark = rng.normal(15, 1, 30)[taster] + 0.8 * ticked + rng.normal(0, 1, 180)
    found = goes_with(mark, ticked, taster)
    dummies = (taster[:, None] == np.arange(30)).astype(float)
    design = np.column_stack([ticked, dummies])
    plain = {'groups': taster, 'use_correction': False}
    fitted = sm.OLS(mark, design).fit(cov_type='cluster', cov_kwds=plain)
    assert pytest.approx(fitted.params[0], rel=1e-10) == found.change
    factor = np.sqrt(found.tasters / (found.tasters - 1))
    assert pytest.approx(fitted.bse[0] * factor, rel=1e-10) == found.se


def test_nobody_tells() -> None:
    """A term that everybody or nobody ticked throughout goes with nothing."""
    taster = np.repeat(np.arange(4), 3)
    for ticked in (np.zeros(12, dtype=bool), np.ones(12, dtype=bool)):
        found = goes_with(np.arange(12.0), ticked, taster)
        assert (None, None, 0) == (found.change, found.p, found.tasters)


def test_one_taster_tells() -> None:
    """One taster gives a change and no error."""
    found = goes_with(np.array([14.0, 16.0]), np.array([False, True]), np.array([0, 0]))
    assert (2.0, None, 1) == (found.change, found.se, found.tasters)


@given(st.lists(st.integers(1, 90), min_size=1, max_size=60))
def test_median(seconds: list[int]) -> None:
    """Median and interval are those of SciPy's quantile test, where it gives both ends."""
    found = median_interval(np.array(seconds, float))
    expected = quantile_test(np.array(seconds, float), q=0, p=0.5).confidence_interval(0.95)
    assert float(np.median(seconds)) == found.median
    if np.isnan(expected.low) or np.isnan(expected.high):
        assert (None, None) == (found.low, found.high)
    else:
        assert (expected.low, expected.high) == (found.low, found.high)


def test_no_seconds() -> None:
    """Nothing timed has no middle."""
    assert (None, 0) == (median_interval(np.array([np.nan])).median, 0)
