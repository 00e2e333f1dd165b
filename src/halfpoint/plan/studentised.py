"""Quantiles of the studentised range, for all pairs of wines at once.

With R(w) = v ∫ φ(z) [Φ(z) − Φ(z − w)]^(v−1) dz the distribution of the range of v standard
normals, that of the studentised range is E R(q·s), s² chi-square over its ν degrees of freedom.
SciPy's `studentized_range` agrees, but takes seconds for many wines and is asked dozens of times.
Reference: Copenhaver and Holland (1988), Journal of Statistical Computation and Simulation 30, 1.
"""

from __future__ import annotations

from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import chdtri, ndtr

Floats = NDArray[np.float64]

Z_NODES, S_NODES = 160, 160
# The normal is nothing beyond this.
FARTHEST = 8.5
# Probability left out at either end of s.
LEFT_OUT = 1e-13
# With more degrees of freedom than this, s is 1.
ENDLESS = 1e7


@lru_cache(maxsize=4096)
def studentised_quantile(df: float, wines: int, alpha: float) -> float:
    """The q that the range of `wines` means over their own error passes with chance `alpha`."""
    scale, weight = _scales(df)

    def beyond(log_q: float) -> float:
        within = _range_within(np.exp(log_q) * scale, wines)
        return float(np.log(max(float(weight @ (1.0 - within)), 1e-300) / alpha))

    high = 1.0
    while beyond(high) > 0.0:
        high += 2.0
    found = brentq(beyond, -20.0, high, xtol=1e-12)
    return float(np.exp(found))


def _scales(df: float) -> tuple[Floats, Floats]:
    """Values of s and their weights, which add to 1."""
    if df > ENDLESS:
        return np.ones(1), np.ones(1)
    far = np.asarray(chdtri(df, np.array([1.0 - LEFT_OUT, LEFT_OUT])))
    ends = 0.5 * np.log(far / df)
    nodes, gauss = _gauss(S_NODES)
    x = ends[0] + (ends[1] - ends[0]) * (nodes + 1.0) / 2.0
    # Density of log s; the largest term is taken out, so that many degrees do no harm.
    height = df * x - df * np.expm1(2.0 * x) / 2.0
    weight = gauss * np.exp(height - height.max())
    return np.exp(x), weight / weight.sum()


def _range_within(width: Floats, wines: int) -> Floats:
    """R(width), for widths (m,)."""
    nodes, gauss = _gauss(Z_NODES)
    z = FARTHEST * nodes
    density = FARTHEST * gauss * np.exp(-(z**2) / 2.0) / np.sqrt(2.0 * np.pi)
    inside = (ndtr(z) - ndtr(z - width[:, None])) ** (wines - 1)
    return np.asarray(np.minimum(wines * (inside @ density), 1.0))


@cache
def _gauss(count: int) -> tuple[Floats, Floats]:
    nodes, weights = np.polynomial.legendre.leggauss(count)
    return np.asarray(nodes), np.asarray(weights)
