"""What past tastings say together of how much marks vary.

Of K tastings there are standard deviations y_k with standard errors s_k (points):

    y_k ~ N(θ_k, s_k²),   θ_k ~ N(μ, τ²),

the normal model of random-effects meta-analysis, with μ unknown and the difference τ between
years half-normal about a share of the usual size. Given τ all is closed form; τ is summed over a
grid. So one past tasting says how sure it is too, and no year counts as if it were every year.
On standard deviations rather than variances, because there the profile of the estimate is nearly
straight, down to zero.
References: Gelman et al. (2013), Bayesian Data Analysis, equations 5.20 and 5.21; Friede et al.
(2017), Research Synthesis Methods 8, 79, for the half-normal prior with few studies; Higgins,
Thompson and Spiegelhalter (2009), J. R. Statist. Soc. A 172, 137, for the next one's range.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import ndtr, ndtri

Floats = NDArray[np.float64]

# Usual difference of years as a share of the size itself: our choice, no source.
YEARS_DIFFER = 0.15
NODES, REACH = 801, 8.0
TAIL = 0.025


@dataclass(frozen=True, slots=True)
class Pooled:
    """A standard deviation that several tastings tell, in points.

    `usual` μ, the posterior mean; `low` to `high` where that of a tasting to come lies 95 times
    in 100, never below zero; `between` τ, the posterior mean.
    """

    usual: float
    low: float
    high: float
    between: float


def standard_error(variance: float, low: float | None, high: float | None) -> float:
    """That of the standard deviation √variance, from the ends of the 95 % interval of variance.

    From both ends where neither is zero or missing, otherwise from the one that tells; without
    either as large as the standard deviation itself.
    """
    middle, two = sqrt(variance), 2.0 * float(ndtri(1.0 - TAIL))
    if low is not None and low > 0.0 and high is not None:
        return (sqrt(high) - sqrt(low)) / two
    if high is not None and high > variance:
        return 2.0 * (sqrt(high) - middle) / two
    if low is not None and 0.0 < low < variance:
        return 2.0 * (middle - sqrt(low)) / two
    return middle


def pool(found: Floats, se: Floats, scale: float | None = None) -> Pooled:
    """What tastings tell together.

    Args:
        found: standard deviations in points, shape (tastings,), at least one, none below 0.
        se: their standard errors, above 0, shape (tastings,).
        scale: of the half-normal of τ; without it a share of the size of `found`.

    Raises:
        ValueError: nothing to pool, or a figure that is none.
    """
    if not found.size or found.shape != se.shape:
        raise ValueError('as many standard errors as figures, and at least one')
    if not (np.isfinite(found).all() and np.isfinite(se).all() and (se > 0.0).all()):
        raise ValueError('figures must be finite, and standard errors above 0')
    if scale is None:
        scale = YEARS_DIFFER * _size(found, se)
    between = np.linspace(0.0, REACH * scale, NODES)
    mean, variance, weight = _given(found, se, between, scale)
    chance = weight / weight.sum()
    sd = np.sqrt(variance + np.square(between))
    usual = float(chance @ mean)
    low, high = (_quantile(chance, mean, sd, share) for share in (TAIL, 1.0 - TAIL))
    return Pooled(max(0.0, usual), max(0.0, low), max(0.0, high), float(chance @ between))


def _size(found: Floats, se: Floats) -> float:
    """How large the figures are, even where they are estimated as nothing."""
    weight = 1.0 / np.square(se)
    return max(float(weight @ found / weight.sum()), 1.0 / sqrt(float(weight.sum())))


def _given(
    found: Floats, se: Floats, between: Floats, scale: float
) -> tuple[Floats, Floats, Floats]:
    """Mean and variance of μ for each τ, and the chance of that τ (not yet to a sum of 1)."""
    each = np.square(se) + np.square(between)[:, None]
    precision = (1.0 / each).sum(axis=1)
    mean = (found / each).sum(axis=1) / precision
    away = (np.square(found - mean[:, None]) / each).sum(axis=1)
    logs = -0.5 * (away + np.log(each).sum(axis=1) + np.log(precision))
    logs -= 0.5 * np.square(between / scale)
    # The first node stands for half a step.
    weight = np.exp(logs - logs.max())
    weight[0] /= 2.0
    return mean, 1.0 / precision, weight


def _quantile(chance: Floats, mean: Floats, sd: Floats, share: float) -> float:
    """Where a mixture of normal figures is below with this chance."""

    def over(x: float) -> float:
        return float(chance @ ndtr((x - mean) / sd)) - share

    reach = REACH * float(sd.max())
    return float(brentq(over, float(mean.min()) - reach, float(mean.max()) + reach, xtol=1e-9))
