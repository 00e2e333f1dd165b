"""Serving orders of the demo are balanced."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from halfpoint.demo.orders import balanced_orders, positions


@pytest.mark.parametrize('wines', range(1, 14))
def test_every_wine_stands_everywhere_and_follows_every_other_equally_often(wines: int) -> None:
    """The defining counts of Williams squares (Williams 1949): positions and neighbours level."""
    orders = balanced_orders(wines)
    expected_orders = 1 if wines == 1 else wines * (1 + wines % 2)
    assert (expected_orders, wines) == orders.shape
    at = np.zeros((wines, wines), dtype=int)
    after = np.zeros((wines, wines), dtype=int)
    for order in orders.tolist():
        for place, wine in enumerate(order):
            at[wine, place] += 1
        for first, second in pairwise(order):
            after[first, second] += 1
    assert np.all(at == expected_orders // wines)
    others = after[~np.eye(wines, dtype=bool)]
    assert np.all(np.diag(after) == 0)
    assert np.all(others == expected_orders // wines)


def test_four_wines_worked_by_hand() -> None:
    """For four wines the first order is 1 2 4 3 and the next ones add one round the circle."""
    expected = [[0, 1, 3, 2], [1, 2, 0, 3], [2, 3, 1, 0], [3, 0, 2, 1]]
    assert expected == balanced_orders(4).tolist()


def test_positions_tell_where_each_wine_stands() -> None:
    """Positions count from 1 and undo the order."""
    assert [[1, 2, 4, 3]] == positions(np.array([[0, 1, 3, 2]])).tolist()
