"""The search for which site pours what: the criterion against a computation on its own."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfpoint.plan.blocks import balanced_blocks
from halfpoint.plan.exchange import (
    Demand,
    allocate,
    average_variance,
    bound,
    efficiency,
    information,
)

NEW = np.random.default_rng


def drawn(rng: np.random.Generator, sites: int, wines: int, size: int) -> np.ndarray:
    """Sites that pour `size` wines each, at random."""
    poured = np.zeros((sites, wines), dtype=bool)
    for row in poured:
        row[rng.choice(wines, size, replace=False)] = True
    return poured


def least_squares(poured: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Information on wines by weighted least squares: sites swept out of a dense design."""
    site, wine = np.nonzero(poured)
    of_wine = np.eye(poured.shape[1])[wine]
    of_site = np.eye(poured.shape[0])[site]
    root = np.sqrt(weight[site])[:, None]
    x, z = root * of_wine, root * of_site
    return x.T @ (x - z @ np.linalg.lstsq(z, x, rcond=None)[0])


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 8), st.integers(3, 8), st.data())
def test_information_is_that_of_least_squares(
    seed: int, sites: int, wines: int, data: st.DataObject
) -> None:
    """C equals X'WX less its projection on sites, computed densely by NumPy's lstsq."""
    rng = NEW(seed)
    poured = drawn(rng, sites, wines, data.draw(st.integers(2, wines)))
    weight = rng.uniform(0.5, 2.0, sites)
    np.testing.assert_allclose(
        information(poured, weight), least_squares(poured, weight), atol=1e-10
    )


def test_average_variance_is_that_of_all_pairs() -> None:
    """2 tr(C⁺)/(v−1) equals the mean over pairs of c'C⁺c, pair by pair."""
    rng = NEW(3)
    poured, weight = drawn(rng, 9, 6, 4), rng.uniform(0.5, 2.0, 9)
    inverse = np.linalg.pinv(least_squares(poured, weight))
    pairs = [inverse[a, a] + inverse[b, b] - 2 * inverse[a, b] for a in range(6) for b in range(a)]
    assert float(np.mean(pairs)) == pytest.approx(average_variance(poured, weight))


def test_wines_not_linked_have_no_variance() -> None:
    """Two groups of wines that no site joins: infinite variance, efficiency 0."""
    poured = np.array([[1, 1, 0, 0], [0, 0, 1, 1]], dtype=bool)
    assert np.inf == average_variance(poured, np.ones(2))
    assert 0.0 == efficiency(poured, np.ones(2))


@pytest.mark.parametrize(('wines', 'size'), [(7, 3), (9, 3), (13, 4), (6, 3), (11, 5), (8, 4)])
def test_balanced_blocks_reach_the_bound(wines: int, size: int) -> None:
    """A balanced design has efficiency 1 against the bound."""
    blocks = balanced_blocks(wines, size)
    assert blocks is not None
    poured = np.zeros((len(blocks), wines), dtype=bool)
    poured[np.arange(len(blocks))[:, None], blocks] = True
    weight = np.ones(len(blocks))
    assert pytest.approx(1.0) == efficiency(poured, weight)
    # λv/(rk) is the efficiency against a complete design of as many pours (Yates 1936).
    replicates = len(blocks) * size / wines
    together = replicates * (size - 1) / (wines - 1)
    complete = 2.0 / replicates
    assert pytest.approx(together * wines / (replicates * size)) == complete / bound(poured, weight)


def test_the_search_finds_what_is_nearly_balanced() -> None:
    """Twenty wines, forty sites of six: at least 0.95 of the bound, within all limits."""
    demand = Demand(
        capacity=np.full(40, 6),
        pinned=np.zeros((40, 20), dtype=bool),
        barred=np.zeros((40, 20), dtype=bool),
        most_sites=np.full(20, 13),
        weight=np.ones(40),
    )
    demand.pinned[:5, 0] = True
    demand.barred[5:9, 1] = True
    found = allocate(demand, NEW(1))

    assert found.efficiency >= 0.95
    assert (found.poured.sum(axis=1) == 6).all()
    assert (found.poured.sum(axis=0) <= 13).all()
    assert found.poured[:5, 0].all()
    assert not found.poured[5:9, 1].any()
