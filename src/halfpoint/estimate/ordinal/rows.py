"""The marks as arrays sorted by taster, and the place of each parameter in one vector.

θ = (thresholds (k − 1), wines less the first (p − 1), covariates (q), standard deviations).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.ordinal.links import Cuts, Link, cells, make_cuts

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Rows:
    """Steps (n,) from 0 to `steps` − 1, wines (n,), covariates (n, q), weights (n,) or None.

    A weight counts how many marks a row stands for.
    """

    link: Link
    step: Codes
    steps: int
    wine: Codes
    wines: int
    covariates: Floats
    weight: Floats | None = None

    @property
    def cut_points(self) -> int:
        """The number of thresholds."""
        return self.steps - 1

    @property
    def located(self) -> int:
        """The number of parameters that are not standard deviations."""
        return self.steps - 1 + self.wines - 1 + int(self.covariates.shape[1])

    def part(self, rows: slice) -> Rows:
        """The same for some of the rows."""
        return Rows(
            self.link,
            self.step[rows],
            self.steps,
            self.wine[rows],
            self.wines,
            self.covariates[rows],
        )

    def feasible(self, theta: Floats) -> bool:
        """Whether the thresholds ascend."""
        cuts = theta[: self.cut_points]
        return bool(np.isfinite(theta).all() and (np.diff(cuts) > 0.0).all())

    def cuts(self, theta: Floats) -> Cuts:
        """Limits of each row's step."""
        return make_cuts(theta[: self.cut_points], self.step)

    def eta(self, theta: Floats) -> Floats:
        """What wine and covariates add for each row, (n,)."""
        wines = self.cut_points + self.wines - 1
        worth = np.concatenate([[0.0], theta[self.cut_points : wines]])[self.wine]
        if self.covariates.shape[1]:
            worth = worth + self.covariates @ theta[wines : self.located]
        return np.asarray(worth)

    def gather(self, by_upper: Floats, by_lower: Floats) -> Floats:
        """Gradient by the located parameters from derivatives by each row's limits, (n,) each."""
        upper = np.bincount(self.step, by_upper, self.steps)
        lower = np.bincount(self.step, by_lower, self.steps)
        by_eta = -(by_upper + by_lower)
        wines = np.bincount(self.wine, by_eta, self.wines)
        return np.concatenate([upper[:-1] + lower[1:], wines[1:], by_eta @ self.covariates])

    def columns(self, ea: Floats, eb: Floats) -> Iterator[Floats]:
        """Derivatives of each row's ∂L/∂η by each located parameter in turn, (n,) each."""
        for cut in range(self.cut_points):
            yield np.where(self.step == cut, ea, 0.0) + np.where(self.step == cut + 1, eb, 0.0)
        for wine in range(1, self.wines):
            yield np.where(self.wine == wine, -ea - eb, 0.0)
        for column in self.covariates.T:
            yield -(ea + eb) * column

    def curvature(self, ab: Floats, ea: Floats, eb: Floats) -> Floats:
        """Second derivatives of Σ log P by the located parameters, from those of the rows."""
        cut, located = self.cut_points, self.located
        made = np.zeros((located, located))
        made[:cut, :cut] = self._cut_by_cut(ab, ea, eb)
        made[:cut, cut:] = self._cut_by_worth(ea, eb)
        made[cut:, :cut] = made[:cut, cut:].T
        made[cut:, cut:] = self._worth_by_worth(ea + eb)
        return made

    def _cut_by_cut(self, ab: Floats, ea: Floats, eb: Floats) -> Floats:
        upper = np.bincount(self.step, -ea - ab, self.steps)
        lower = np.bincount(self.step, -eb - ab, self.steps)
        both = np.bincount(self.step, ab, self.steps)[1:-1]
        own = np.diag(upper[:-1] + lower[1:])
        return np.asarray(own + np.diag(both, 1) + np.diag(both, -1))

    def _cut_by_worth(self, ea: Floats, eb: Floats) -> Floats:
        cell = self.step * self.wines + self.wine
        shape = (self.steps, self.wines)
        upper = np.bincount(cell, ea, self.steps * self.wines).reshape(shape)
        lower = np.bincount(cell, eb, self.steps * self.wines).reshape(shape)
        wines = (upper[:-1] + lower[1:])[:, 1:]
        columns = [
            np.bincount(self.step, ea * column, self.steps)[:-1]
            + np.bincount(self.step, eb * column, self.steps)[1:]
            for column in self.covariates.T
        ]
        return np.column_stack([wines, *columns])

    def _worth_by_worth(self, weight: Floats) -> Floats:
        others = self.wines - 1
        made = np.zeros((self.located - self.cut_points,) * 2)
        made[:others, :others] = -np.diag(np.bincount(self.wine, weight, self.wines)[1:])
        for place, column in enumerate(self.covariates.T, start=others):
            cross = np.bincount(self.wine, weight * column, self.wines)[1:]
            made[place, :others] = made[:others, place] = -cross
        made[others:, others:] = -self.covariates.T @ (weight[:, None] * self.covariates)
        return made


@dataclass(frozen=True, slots=True)
class Height:
    """A log-likelihood with its gradient and second derivatives."""

    value: float
    gradient: Floats
    curvature: Floats


def fixed_height(rows: Rows, theta: Floats) -> Height:
    """The log-likelihood without random effects."""
    at = cells(rows.link, rows.cuts(theta), rows.eta(theta), 2)
    weight = np.ones(rows.step.size) if rows.weight is None else rows.weight
    return Height(
        float(weight @ at.log_p),
        rows.gather(weight * at.a, weight * at.b),
        rows.curvature(weight * at.ab, weight * at.ea, weight * at.eb),
    )
