"""Mean squares of a table of wines by tasters with one mark in each cell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import NoVariation, TooFewMarks

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TwoWay:
    """Two-way analysis of variance without repeats, of `wines` rows and `tasters` columns.

    Mean squares: `between` wines, `within` wines (tasters and what is left together),
    `tasters_mean_square`, and `left`, which is neither.
    """

    wines: int
    tasters: int
    between: float
    within: float
    tasters_mean_square: float
    left: float


def two_way(marks: Floats) -> TwoWay:
    """Split the variation of complete marks, shape (wines, tasters).

    Raises:
        TooFewMarks: fewer than two wines or tasters, or a mark is missing (NaN).
        NoVariation: every mark is the same.
    """
    check_table(marks)
    if np.isnan(marks).any():
        raise TooFewMarks(
            f"{int(np.isnan(marks).sum())} of {marks.size} marks are missing",
            where="a table of wines by tasters",
            expected="every taster's mark for every wine",
        )
    wines, tasters = marks.shape
    grand = marks.mean()
    of_wines = tasters * np.square(marks.mean(axis=1) - grand).sum()
    of_tasters = wines * np.square(marks.mean(axis=0) - grand).sum()
    total = np.square(marks - grand).sum()
    if total <= 1e-12 * max(1.0, grand * grand):
        raise NoVariation("every mark is the same", where="a table of wines by tasters")
    # What rounding leaves of nothing is nothing: two tasters may agree to the last digit.
    left = max(0.0, total - of_wines - of_tasters)
    left = 0.0 if left <= 1e-12 * total else left
    return TwoWay(
        wines=wines,
        tasters=tasters,
        between=float(of_wines / (wines - 1)),
        within=float((of_tasters + left) / (wines * (tasters - 1))),
        tasters_mean_square=float(of_tasters / (tasters - 1)),
        left=float(left / ((wines - 1) * (tasters - 1))),
    )


def check_table(marks: Floats) -> None:
    """Refuse a table in which nothing can be held against anything.

    Raises:
        TooFewMarks: fewer than two wines or two tasters.
    """
    if marks.ndim != 2 or min(marks.shape) < 2:
        found = " by ".join(map(str, marks.shape))
        raise TooFewMarks(
            f"a table of {found}",
            where="a table of wines by tasters",
            expected="at least two wines and two tasters",
        )
