"""Whether a term was ticked for some wines more than for others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import bdtr, chdtrc

from halfpoint.aroma.ticks import Bools, Floats, refuse_lone
from halfpoint.estimate.chances import holm


@dataclass(frozen=True, slots=True)
class CochranQ:
    """Cochran's Q of one term over all wines; q and p are None when nobody tells wines apart.

    `tasters` ticked for every wine or might have; `telling` of them ticked some but not all.
    """

    q: float | None
    df: int
    p: float | None
    tasters: int
    telling: int


@dataclass(frozen=True, slots=True)
class TickPair:
    """Wine `a` against `b`: ticked only for a, only for b, exact p, and Holm's over all pairs."""

    a: int
    b: int
    only_a: int
    only_b: int
    p: float
    p_adjusted: float


def cochran_q(ticked: Bools) -> CochranQ:
    """Cochran's Q test of complete ticks, shape (tasters, wines).

    Cochran (1950), Biometrika 37, 256-266. Who ticked a term for every wine, or for none, tells
    nothing of the wines and leaves Q as it is.

    Raises:
        TooFewMarks: fewer than two wines.
    """
    tasters, wines = ticked.shape
    refuse_lone(wines, "wines", "Cochran's Q")
    rows = ticked.sum(axis=1)
    columns = ticked.sum(axis=0)
    telling = int(((rows > 0) & (rows < wines)).sum())
    if telling == 0:
        return CochranQ(None, wines - 1, None, tasters, 0)
    apart = wines * np.square(columns).sum() - columns.sum() ** 2
    q = float((wines - 1) * apart / (wines * rows.sum() - np.square(rows).sum()))
    return CochranQ(q, wines - 1, float(chdtrc(wines - 1, q)), tasters, telling)


def tick_pairs(ticked: Bools) -> tuple[TickPair, ...]:
    """Every two wines by McNemar's exact test, Holm's correction over all pairs.

    McNemar (1947), Psychometrika 12, 153-157, as the sign test of those who ticked for one of
    the two only; Holm (1979), Scandinavian Journal of Statistics 6, 65-70.

    Args:
        ticked: complete ticks, shape (tasters, wines).
    """
    first, second = np.triu_indices(ticked.shape[1], 1)
    only_a = (ticked[:, first] & ~ticked[:, second]).sum(axis=0)
    only_b = (ticked[:, second] & ~ticked[:, first]).sum(axis=0)
    p = mcnemar_exact(only_a, only_b)
    rows = zip(first, second, only_a, only_b, p, holm(p), strict=True)
    return tuple(TickPair(*map(int, row[:4]), *map(float, row[4:])) for row in rows)


def mcnemar_exact(only_a: Floats, only_b: Floats) -> Floats:
    """Two-sided p of the sign test, elementwise; 1 where there is nothing to go by."""
    fewer, both = np.minimum(only_a, only_b), only_a + only_b
    tail = 2.0 * bdtr(fewer.astype(np.float64), both.astype(np.int64), 0.5)
    return np.where(both == 0, 1.0, np.minimum(1.0, tail))
