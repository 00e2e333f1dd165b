"""Williams squares: every wine at every position, and after every other wine, equally often.

Reference: Williams (1949), Australian Journal of Scientific Research A 2, 149: an even number
n of wines needs n orders, an odd number 2n.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Orders = NDArray[np.int64]


def latin_square(wines: int) -> Orders:
    """The cyclic square (n, n) whose neighbours differ by every amount: rows are orders."""
    zigzag = np.empty(wines, dtype=np.int64)
    zigzag[0::2] = np.arange((wines + 1) // 2)
    zigzag[1::2] = wines - 1 - np.arange(wines // 2)
    return (zigzag + np.arange(wines)[:, None]) % wines


def williams(wines: int) -> Orders:
    """Orders (n, n) for even n, (2n, n) for odd n: the square, and its mirror image."""
    square = latin_square(wines)
    return square if wines % 2 == 0 else np.vstack([square, square[:, ::-1]])


def position_counts(orders: Orders, wines: int) -> Orders:
    """How often each wine stands at each position, (wines, positions)."""
    positions = orders.shape[1]
    cells = orders * positions + np.arange(positions)
    counts = np.bincount(cells.ravel(), minlength=wines * positions)
    return counts.reshape(wines, positions)


def predecessor_counts(orders: Orders, wines: int) -> Orders:
    """How often each wine (column) comes right after each other (row), (wines, wines)."""
    cells = orders[:, :-1] * wines + orders[:, 1:]
    counts = np.bincount(cells.ravel(), minlength=wines * wines)
    return counts.reshape(wines, wines)
