"""Who ticked what for which wine, as arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import TooFewMarks

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Ticks:
    """Ticks of entries, a row an entry: which taster and wine, and whether each term was ticked.

    `taster` and `wine` count from 0, shape (entries,); `ticked` has shape (entries, terms).
    """

    taster: Ints
    wine: Ints
    ticked: Bools
    wines: int
    tasters: int

    def table(self) -> Ints:
        """How many entries ticked each term for each wine, shape (wines, terms)."""
        counts = np.zeros((self.wines, self.ticked.shape[1]), dtype=np.int64)
        np.add.at(counts, self.wine, self.ticked)
        return counts

    def entries(self) -> Ints:
        """How many entries each wine has, shape (wines,)."""
        return np.bincount(self.wine, minlength=self.wines)

    def square(self, term: int) -> Bools:
        """One term by those who tasted every wine, shape (tasters with all, wines).

        A wine poured twice counts as ticked when it was ticked either time.
        """
        came = np.zeros((self.tasters, self.wines), dtype=np.bool_)
        came[self.taster, self.wine] = True
        made = np.zeros_like(came)
        here = self.ticked[:, term]
        made[self.taster[here], self.wine[here]] = True
        return np.asarray(made[came.all(axis=1)])


def refuse_lone(count: int, what: str, where: str) -> None:
    """Refuse to compare fewer than two.

    Raises:
        TooFewMarks: `count` is below 2.
    """
    if count < 2:
        raise TooFewMarks(f"{count} {what}", where=where, expected="at least two")
