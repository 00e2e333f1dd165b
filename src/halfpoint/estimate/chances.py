"""Chances of small tables, and p values of several questions asked at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

Floats = NDArray[np.float64]


def exact_more(here: int, drawn: int, marked: int, of: int) -> float:
    """Chance of at least `here` of the `marked` among `drawn` out of `of` (hypergeometric)."""
    x = np.arange(here, min(drawn, marked) + 1)
    x = x[(drawn - x) <= of - marked]
    if x.size == 0:
        return 1.0 if here == 0 else 0.0
    logs = _choose(marked, x) + _choose(of - marked, drawn - x) - _choose(of, np.array([drawn]))
    return float(min(1.0, np.exp(logs).sum()))


def _choose(of: int, some: NDArray[np.int64]) -> Floats:
    return np.asarray(gammaln(of + 1.0) - gammaln(some + 1.0) - gammaln(of - some + 1.0))


def benjamini_hochberg(p: Floats) -> Floats:
    """Adjusted p values, shape as given."""
    order = np.argsort(p)[::-1]
    stepped = p[order] * len(p) / np.arange(len(p), 0, -1)
    adjusted = np.empty_like(stepped)
    adjusted[order] = np.minimum(1.0, np.minimum.accumulate(stepped))
    return adjusted


def holm(p: Floats) -> Floats:
    """Holm's adjusted p values, shape as given."""
    order = np.argsort(p)
    stepped = p[order] * np.arange(len(p), 0, -1)
    adjusted = np.empty_like(stepped)
    adjusted[order] = np.minimum(1.0, np.maximum.accumulate(stepped))
    return adjusted
