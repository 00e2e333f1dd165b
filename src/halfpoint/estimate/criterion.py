"""The profiled REML criterion and its gradient, from the reduced sums of any layout.

    d(φ) = log|V| + log|XᵀV⁻¹X| + (n − p)(1 + log(2π r² / (n − p)))

with φ the variance ratios σᵢ²/σ² and r² the weighted residual sum of squares.
Reference: Bates, Mächler, Bolker and Walker (2015), J. Stat. Softw. 67(1), equation 41.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.absorb import Reduced, inverse_and_logdet

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Criterion:
    """The criterion at one set of ratios.

    `spread` (k,) is tr(V⁻¹ZᵢZᵢᵀ) − tr((XᵀV⁻¹X)⁻¹XᵀV⁻¹ZᵢZᵢᵀV⁻¹X), `pull` (k,) is
    |Zᵢᵀ V⁻¹ (y − Xβ̂)|²; `coefficients` (p,) are β̂ and `inverse` (p, p) is (XᵀV⁻¹X)⁻¹.
    `inflation` is the largest variance inflation of a fixed effect by the others;
    `shares` (k,) is how much of each random effect the fixed effects leave to it.
    """

    logdets: float
    residual: float
    freedom: int
    spread: Floats
    pull: Floats
    coefficients: Floats
    inverse: Floats
    inflation: float
    shares: Floats

    @property
    def variance(self) -> float:
        """The profiled estimate of σ²."""
        return self.residual / self.freedom

    def value(self) -> float:
        """The profiled REML criterion."""
        scale = 2.0 * math.pi * self.variance
        return self.logdets + self.freedom * (1.0 + math.log(scale))

    def gradient(self) -> Floats:
        """Derivative of the profiled criterion by each variance ratio, (k,)."""
        return self.spread - self.pull / self.variance

    def value_at(self, variance: float) -> float:
        """The criterion with σ² held at `variance` instead of profiled out."""
        log_scale = self.freedom * math.log(2.0 * math.pi * variance)
        return self.logdets + log_scale + self.residual / variance

    def gradient_at(self, variance: float) -> Floats:
        """Derivative of `value_at` by each ratio and, last, by σ²; (k + 1,)."""
        by_variance = self.freedom / variance - self.residual / variance**2
        return np.append(self.spread - self.pull / variance, by_variance)


def criterion(reduced: Reduced, marks: int) -> Criterion:
    """The REML criterion of `marks` marks from their reduced sums.

    Raises:
        numpy.linalg.LinAlgError: when the fixed effects cannot be told apart.
    """
    fixed = reduced.gram[:-1, :-1]
    inverse, logdet = inverse_and_logdet(np.ascontiguousarray(fixed))
    coefficients = inverse @ reduced.gram[:-1, -1]
    contrast = np.append(-coefficients, 1.0)
    # The quadratic form keeps its digits where y'y - b'X'y would cancel.
    residual = float(contrast @ reduced.gram @ contrast)
    slopes = reduced.slopes
    through = np.einsum('kij,ij->k', slopes[:, :-1, :-1], inverse)
    spread = reduced.traces - through
    return Criterion(
        logdets=reduced.logdet + logdet,
        residual=residual,
        freedom=marks - coefficients.size,
        spread=spread,
        pull=np.einsum('i,kij,j->k', contrast, slopes, contrast),
        coefficients=coefficients,
        inverse=inverse,
        inflation=float(np.max(np.diagonal(inverse) * np.diagonal(fixed))),
        shares=spread / np.maximum(reduced.traces, 1e-300),
    )
