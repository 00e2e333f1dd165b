"""What each taster gave, as sums that no later step needs the marks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class TasterWines:
    """Marks by taster and wine: `count` and `total` (tasters, wines), `squares` (tasters,).

    Marks are counted from a common centre, so that squares lose no digits.
    """

    count: Floats
    total: Floats
    squares: Floats

    @property
    def wines(self) -> int:
        """How many wines."""
        return int(self.count.shape[1])

    @property
    def marks(self) -> Floats:
        """How many marks each taster gave (tasters,)."""
        return np.asarray(self.count.sum(axis=1))


def taster_wines(mark: Floats, taster: Ints, wine: Ints) -> TasterWines:
    """Sum marks (n,) by taster and wine, both counted from 0."""
    tasters, wines = int(taster.max()) + 1, int(wine.max()) + 1
    cell = taster * wines + wine
    shape = (tasters, wines)
    count, total = (np.bincount(cell, of, tasters * wines) for of in (np.ones(mark.size), mark))
    squares = np.bincount(taster, np.square(mark), tasters)
    return TasterWines(
        np.asarray(count.reshape(shape)), np.asarray(total.reshape(shape)), np.asarray(squares)
    )
