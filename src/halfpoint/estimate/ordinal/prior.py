"""A weak prior, only for marks that would send an estimate to infinity.

When everyone gives a wine the highest step, its likelihood rises for ever.  A normal prior of
standard deviation 3 standard deviations of the link's own noise, on wines (about their mean),
covariates (per standard deviation of their own) and the spreads of the random effects, then
gives a finite answer that still says "far apart".
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.ordinal.links import UNIT
from halfpoint.estimate.ordinal.rows import Rows

Floats = NDArray[np.float64]

WIDTH = 3.0


@dataclass(frozen=True, slots=True)
class Prior:
    """A quadratic penalty ½ θᵀ `precision` θ, (k, k)."""

    precision: Floats

    def __call__(self, theta: Floats) -> tuple[float, Floats]:
        """Penalty and its gradient."""
        slope = self.precision @ theta
        return 0.5 * float(theta @ slope), slope


def no_prior(rows: Rows, spreads: int) -> Prior:
    """No penalty at all."""
    return Prior(np.zeros((rows.located + spreads,) * 2))


def weak_prior(rows: Rows, spreads: int) -> Prior:
    """The weak prior for `spreads` random effects."""
    made = np.zeros((rows.located + spreads,) * 2)
    cut, others = rows.cut_points, rows.wines - 1
    made[cut : cut + others, cut : cut + others] = np.eye(others) - 1.0 / rows.wines
    for place, column in enumerate(rows.covariates.T, start=cut + others):
        made[place, place] = column.var()
    made[rows.located :, rows.located :] = np.eye(spreads)
    return Prior(made / (WIDTH * UNIT[rows.link]) ** 2)
