"""Wine scores and covariate effects with their covariance, and Satterthwaite's freedom.

The variance of a contrast l is f(ψ) = lᵀC(ψ)l, ψ the variance parameters; its degrees of
freedom are 2f² / (∇fᵀ Var(ψ̂) ∇f), with Var(ψ̂) twice the inverse Hessian of the criterion.
References: Satterthwaite (1946), Biometrics Bulletin 2, 110; Kuznetsova, Brockhoff and
Christensen (2017), J. Stat. Softw. 82(13), section 2; for the F test Fai and Cornelius
(1996), J. Stat. Comput. Simul. 54, 363.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.special import fdtrc

from halfpoint.estimate.absorb import Reduced
from halfpoint.estimate.criterion import criterion
from halfpoint.estimate.fit import STEP, RemlFit

Floats = NDArray[np.float64]


class WineLayout(Protocol):
    """A layout that can say what the wines are worth."""

    effects: tuple[str, ...]
    marks: int
    random_wines: bool

    def evaluate(self, ratios: Floats) -> Reduced:
        """Sums with every random effect taken out."""
        ...

    def wine_part(self, ratios: Floats) -> tuple[Reduced, Floats, Floats]:
        """For random wines: the sums, K over wines (p, p) and K M_zx of wines (p, d)."""
        ...


@dataclass(frozen=True, slots=True)
class Contrast:
    """A combination of wine scores: estimate, standard error, degrees of freedom."""

    estimate: float
    se: float
    df: float


@dataclass(frozen=True, slots=True)
class Scores:
    """Wine scores (the first p) and covariate effects (the last q).

    `estimates` (p + q,), `covariance` (p + q, p + q), `derivatives` (a + 1, p + q, p + q)
    of the covariance by the active ratios and σ², `parameters` (a + 1, a + 1) their
    asymptotic covariance.  For random wines the scores are predictions and the covariance
    is that of prediction minus truth.
    """

    wines: int
    estimates: Floats
    covariance: Floats
    derivatives: Floats
    parameters: Floats

    def contrast(self, weights: Floats) -> Contrast:
        """Estimate, SE and df of weights (p,) over wines, or (p + q,) over everything."""
        full = np.zeros(self.estimates.size)
        full[: weights.size] = weights
        variance = float(full @ self.covariance @ full)
        slopes = np.einsum('i,kij,j->k', full, self.derivatives, full)
        df = satterthwaite(np.array([variance]), slopes[:, None], self.parameters)[0]
        return Contrast(float(full @ self.estimates), float(np.sqrt(variance)), float(df))

    def each(self) -> tuple[Floats, Floats]:
        """Standard error and df of every score and effect, (p + q,) each."""
        variance = np.diagonal(self.covariance)
        slopes = np.diagonal(self.derivatives, axis1=1, axis2=2)
        return np.sqrt(variance), satterthwaite(variance, slopes, self.parameters)

    def pairs(self, first: NDArray[np.intp], second: NDArray[np.intp]) -> tuple[Floats, Floats]:
        """Standard error and df of the differences first − second, (m,) each."""
        variance = _difference(self.covariance, first, second)
        own = np.diagonal(self.covariance)
        # Wines that are taken as alike differ by rounding only.
        variance = np.where(variance > 1e-13 * (own[first] + own[second]), variance, 0.0)
        slopes = np.array([_difference(d, first, second) for d in self.derivatives])
        return np.sqrt(variance), satterthwaite(variance, slopes, self.parameters)


def _difference(matrix: Floats, i: NDArray[np.intp], j: NDArray[np.intp]) -> Floats:
    return np.asarray(matrix[i, i] + matrix[j, j] - matrix[i, j] - matrix[j, i])


def satterthwaite(variance: Floats, slopes: Floats, parameters: Floats) -> Floats:
    """Degrees of freedom of variances (m,) with derivatives (k, m).

    Infinite if exact; at least one, below which the formula says no more than that hardly
    anything is known.
    """
    # Relative to the variance, so that marks in any unit stay within the machine's numbers.
    relative = slopes / np.maximum(variance, 1e-300)
    spread = np.einsum('km,kl,lm->m', relative, parameters, relative)
    exact = (spread <= 0.0) | (variance <= 0.0)
    return np.where(exact, np.inf, np.maximum(1.0, 2.0 / np.maximum(spread, 1e-300)))


def wine_scores(layout: WineLayout, fit: RemlFit, wines: int) -> Scores:
    """Scores of all wines, with the derivatives of their covariance by central differences."""
    estimates, unit = scores_at(layout, fit.ratios, wines)
    variance = fit.residual
    derivatives = []
    for i in np.flatnonzero(fit.active):
        # The same points as the curvature's, which the layout remembers.
        step = STEP * max(fit.probed[i], 1e-4)
        ahead, behind = fit.probed.copy(), fit.probed.copy()
        ahead[i] += step
        behind[i] = max(0.0, behind[i] - step)
        change = scores_at(layout, ahead, wines)[1] - scores_at(layout, behind, wines)[1]
        derivatives.append(variance * change / (ahead[i] - behind[i]))
    derivatives.append(unit)
    return Scores(
        wines, estimates, variance * unit, np.array(derivatives), fit.parameter_covariance()
    )


def scores_at(layout: WineLayout, ratios: Floats, wines: int) -> tuple[Floats, Floats]:
    """Scores and covariate effects at given ratios, and their covariance over σ²."""
    if not layout.random_wines:
        at = criterion(layout.evaluate(ratios), layout.marks)
        return at.coefficients, at.inverse
    reduced, gain, pull = layout.wine_part(ratios)
    at = criterion(reduced, layout.marks)
    predicted = pull @ np.append(-at.coefficients, 1.0)
    others = at.coefficients.size - 1
    load = np.zeros((wines + others, at.coefficients.size))
    load[:wines] = -pull[:, :-1]
    load[:wines, 0] += 1.0
    load[wines:, 1:] = np.eye(others)
    unit = load @ at.inverse @ load.T
    unit[:wines, :wines] += gain
    estimates = np.append(at.coefficients[0] + predicted, at.coefficients[1:])
    return estimates, unit


@dataclass(frozen=True, slots=True)
class FTest:
    """An F test of several contrasts at once."""

    f: float
    num_df: int
    den_df: float
    p: float


def all_alike(scores: Scores) -> FTest:
    """F test that all wines are alike, denominators by Fai and Cornelius (1996)."""
    count = scores.wines - 1
    contrasts = np.zeros((count, scores.estimates.size))
    contrasts[:, : scores.wines] = _orthonormal(scores.wines)
    values, vectors = np.linalg.eigh(contrasts @ scores.covariance @ contrasts.T)
    independent = vectors.T @ contrasts
    t_squared = (independent @ scores.estimates) ** 2 / values
    slopes = np.einsum('mi,kij,mj->km', independent, scores.derivatives, independent)
    freedom = satterthwaite(values, slopes, scores.parameters)
    f = float(t_squared.mean())
    denominator = _joint_freedom(freedom)
    p = float(fdtrc(count, denominator, f))
    return FTest(f, count, denominator, p)


def _orthonormal(wines: int) -> Floats:
    """Contrasts (p - 1, p) at right angles (Helmert's), so that no order of wines matters."""
    made = np.zeros((wines - 1, wines))
    for row in range(1, wines):
        made[row - 1, :row] = 1.0
        made[row - 1, row] = -row
    return np.asarray(made / np.linalg.norm(made, axis=1)[:, None], dtype=np.float64)


def _joint_freedom(freedom: Floats) -> float:
    freedom = np.minimum(freedom, 1e9)
    if freedom.max() - freedom.min() < 0.01:
        return float(freedom.mean())
    usable = freedom[freedom > 2.0]
    expected = float(np.sum(1.0 / (1.0 - 2.0 / usable)))
    count = freedom.size
    return 2.0 * expected / (expected - count) if expected > count else 2.0
