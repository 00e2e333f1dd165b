"""All pairs at once: against Tukey's studentised range, and against themselves."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import multivariate_t, studentized_range, t

from halfpoint.estimate.simultaneous import adjust, draw, enough_draws, over, quantile, two_sided


def pairs(wines: int):
    return np.triu_indices(wines, 1)


def balanced(wines: int, df: float, statistics):
    """Adjusted p values and critical values of equally sure, independent scores."""
    first, second = pairs(wines)
    found = np.zeros(first.size)
    found[: len(statistics)] = statistics
    return adjust(
        draw(np.eye(wines), 1, enough_draws(wines)),
        first,
        second,
        np.full(first.size, np.sqrt(2.0)),
        np.full(first.size, df),
        found,
    )


@pytest.mark.parametrize('wines', [3, 5, 8, 15])
@pytest.mark.parametrize('df', [4.0, 24.0, 300.0])
def test_balanced_tastings_are_tukeys(wines, df) -> None:
    """With equal variances p values and intervals are Tukey's (scipy's studentized_range)."""
    chances = np.array([0.2, 0.05, 0.02])
    statistics = studentized_range.isf(chances, wines, df) / np.sqrt(2.0)
    found = balanced(wines, df, statistics)
    assert chances == pytest.approx(found.p[:3], abs=0.006)
    assert statistics[1] == pytest.approx(found.critical[0], rel=0.01)


def test_one_pair_needs_no_adjustment() -> None:
    """Two wines: the t test and its interval exactly."""
    found = balanced(2, 7.0, [2.5])
    assert 2 * t.sf(2.5, 7) == pytest.approx(found.p[0])
    assert t.ppf(0.975, 7) == pytest.approx(found.critical[0])


def test_no_pair_at_all() -> None:
    """One wine: nothing to compare, and no complaint."""
    assert 0 == balanced(1, 7.0, []).p.size


def test_correlated_scores_as_the_multivariate_t() -> None:
    """Unequal variances: the chance that all |t| stay below c is scipy's multivariate t."""
    covariance = np.array([[1.0, 0.3, 0.0], [0.3, 2.0, -0.4], [0.0, -0.4, 0.5]])
    first, second = pairs(3)
    contrasts = np.zeros((3, 3))
    contrasts[np.arange(3), first], contrasts[np.arange(3), second] = 1.0, -1.0
    spread = contrasts @ covariance @ contrasts.T
    se = np.sqrt(np.diagonal(spread))
    shape = spread / np.outer(se, se)
    found = adjust(
        draw(covariance, 3, 100_000), first, second, se, np.full(3, 9.0), np.full(3, 2.4)
    )
    # The three differences have rank two; scipy wants a definite matrix.
    inside = multivariate_t(shape=shape + 1e-9 * np.eye(3), df=9, allow_singular=True).cdf(
        np.full(3, 2.4), lower_limit=np.full(3, -2.4), random_state=1
    )
    assert 1 - inside == pytest.approx(found.p[0], abs=0.004)


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    wines=st.integers(2, 7),
    low=st.sampled_from([1.0, 3.0, 30.0, np.inf]),
    high=st.sampled_from([1.0, 5.0, 200.0, np.inf]),
)
def test_p_values_and_intervals_agree(seed, wines, low, high) -> None:
    """With any degrees of freedom: adjusted p below 0.05 exactly when zero is outside."""
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(wines, wines))
    covariance = root @ root.T + 0.1 * np.eye(wines)
    first, second = pairs(wines)
    own = np.diagonal(covariance)
    se = np.sqrt(own[first] + own[second] - 2 * covariance[first, second])
    df = rng.choice([low, high], first.size)
    statistics = rng.normal(0, 4, first.size)
    found = adjust(draw(covariance, seed, 20_000), first, second, se, df, statistics)
    single = two_sided(statistics, df)
    assert (found.p >= single).all()
    assert (found.p <= np.minimum(1.0, first.size * single) + 1e-12).all()
    assert (found.critical >= quantile(0.975, df) - 1e-9).all()
    clear = np.abs(found.p - 0.05) > 0.004
    assert ((found.p < 0.05) == (np.abs(statistics) > found.critical))[clear].all()


def test_wines_taken_as_alike_do_not_differ() -> None:
    """A difference of nothing with no standard error is no difference, without a warning."""
    first, second = pairs(3)
    none = np.zeros(3)
    statistics = over(none, none)
    found = adjust(
        draw(np.ones((3, 3)), 1, 1000), first, second, none, np.full(3, np.inf), statistics
    )
    assert [1.0, 1.0, 1.0] == found.p.tolist()
    assert np.isfinite(found.critical).all()


def test_same_seed_same_draws() -> None:
    """Draws repeat with the seed, are as many as asked for, and have the covariance asked for."""
    covariance = np.array([[1.0, 0.5], [0.5, 2.0]])
    one, again, other = (draw(covariance, seed, 50_000).half for seed in (1, 1, 2))
    assert (one == again).all()
    assert not (one == other).all()
    assert 25_000 == one.shape[1]
    # Each with its negative, the mean is zero.
    assert covariance == pytest.approx(one @ one.T / one.shape[1], abs=0.03)


def test_draws_scale_to_t() -> None:
    """Normal draws times the scale have the quantiles of Student's t (scipy)."""
    draws = draw(np.eye(1), 4, 100_000)
    for df in (1.0, 4.0, 30.0):
        half = draws.half[0] * draws.scale(df)
        found = np.quantile(np.concatenate([half, -half]), [0.9, 0.975])
        assert t.ppf([0.9, 0.975], df) == pytest.approx(found, rel=0.03)


def test_rounding_moves_draws_by_rounding_only() -> None:
    """Equally sure scores, the last digits of which differ, are drawn the same to such digits."""
    noise = np.random.default_rng(5).normal(0, 1e-14, (8, 8))
    covariance = 0.01 * np.eye(8) + 0.02
    one, other = (draw(c, 1, 1000).half for c in (covariance, covariance + noise + noise.T))
    assert one == pytest.approx(other, abs=1e-9)
