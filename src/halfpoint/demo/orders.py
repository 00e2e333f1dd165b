"""Serving orders for the invented tasting."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def balanced_orders(wines: int) -> NDArray[np.intp]:
    """Orders in which every wine stands at every position equally often.

    For an even number of wines every wine also comes equally often just after every other;
    for an odd number each order is followed by its mirror image, which gives the same.

    Args:
        wines: how many wines, at least 1.

    Returns:
        Wine numbers from 0, shape (orders, wines): as many orders as wines, twice as many
        when the number of wines is odd and above 1.

    Source: E. J. Williams (1949), Australian Journal of Scientific Research A 2, 149-168.
    """
    zigzag = np.zeros(wines, dtype=np.intp)
    zigzag[1::2] = np.arange(1, wines // 2 + 1)
    zigzag[2::2] = wines - np.arange(1, (wines - 1) // 2 + 1)
    orders = (zigzag + np.arange(wines)[:, None]) % wines
    if wines % 2 and wines > 1:
        orders = np.vstack([orders, orders[:, ::-1]])
    return orders


def positions(orders: NDArray[np.intp]) -> NDArray[np.intp]:
    """The place, from 1, of each wine in each order; shapes (orders, wines)."""
    return np.argsort(orders, axis=1) + 1
