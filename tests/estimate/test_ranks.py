"""Probabilities of places, where they are known in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm, t

from halfpoint.estimate.ranks import _compared, _sorted, even_ranks, rank_distribution


@pytest.mark.parametrize('difference', [0.0, 0.4, 1.3, 3.0])
@pytest.mark.parametrize('df', [np.inf, 30.0, 4.0])
def test_two_wines_in_closed_form(difference, df) -> None:
    """The chance that the first is ahead is Φ, or Student's F, of difference over its SE."""
    covariance = np.array([[0.8, 0.3], [0.3, 0.5]])
    found = rank_distribution(np.array([difference, 0.0]), covariance, df)
    at = difference / np.sqrt(0.8 + 0.5 - 0.6)
    expected = norm.cdf(at) if np.isinf(df) else t.cdf(at, df)
    assert expected == pytest.approx(found.best[0], abs=0.006)
    assert [1 - found.best[0], found.best[0]] == pytest.approx(found.probability[0][::-1].tolist())


def test_exchangeable_wines_are_uniform() -> None:
    """Wines with the same score and the same uncertainty take every place equally often."""
    found = rank_distribution(np.zeros(5), np.eye(5) + 0.5)
    assert np.full((5, 5), 0.2) == pytest.approx(found.probability, abs=0.008)
    assert ([1] * 5, [5] * 5) == (found.low.tolist(), found.high.tolist())


def test_wines_told_apart_keep_their_places() -> None:
    """Where the uncertainty is nothing beside the gaps, each has its place for certain."""
    found = rank_distribution(np.array([1.0, 3.0, 2.0]), 1e-4 * np.eye(3))
    assert [3, 1, 2] == found.low.tolist() == found.high.tolist()
    assert [0.0, 1.0, 0.0] == found.best.tolist()


def test_a_common_error_does_not_matter() -> None:
    """What moves all scores alike changes no place."""
    estimates, own = np.array([0.0, 0.5, 0.9]), 0.3 * np.eye(3)
    alone = rank_distribution(estimates, own)
    together = rank_distribution(estimates, own + 100.0)
    assert alone.probability == pytest.approx(together.probability, abs=0.01)


@settings(max_examples=20, deadline=None)
@given(estimates=st.lists(st.floats(-3, 3), min_size=1, max_size=6), seed=st.integers(0, 99))
def test_probabilities_are_a_doubly_stochastic_table(estimates, seed) -> None:
    """Every wine has one place and every place one wine; intervals hold at least 90 %."""
    scores = np.array(estimates)
    found = rank_distribution(scores, np.eye(scores.size), 12.0, seed, draws=2000)
    assert np.ones(scores.size) == pytest.approx(found.probability.sum(axis=0))
    assert np.ones(scores.size) == pytest.approx(found.probability.sum(axis=1))
    for row, low, high in zip(found.probability, found.low, found.high, strict=True):
        assert 1 <= low <= high <= scores.size
        assert row[low - 1 : high].sum() >= 0.9 - 1e-9


def test_no_difference_at_all_is_even() -> None:
    """Wines that the model takes as alike get even chances, not the order of their names."""
    found = even_ranks(4)
    assert np.full((4, 4), 0.25) == pytest.approx(found.probability)
    assert ([1] * 4, [4] * 4) == (found.low.tolist(), found.high.tolist())
    assert [2] * 40 == even_ranks(40).low.tolist()
    assert [38] * 40 == even_ranks(40).high.tolist()


@pytest.mark.parametrize('spread', [0.01, 0.3, 5.0])
def test_places_are_counted_as_sorting_does(spread) -> None:
    """Comparing two by two leaves out what no draw can swap, and counts what sorting counts."""
    rng = np.random.default_rng(3)
    scores, root = rng.normal(0, 1, 9), rng.normal(0, 1, (9, 9))
    drawn = spread * root @ rng.normal(0, 1, (9, 2000))
    assert (_sorted(scores, drawn) == _compared(scores, drawn)).all()
