"""Medians and quantiles: sorting a few values is several times as fast as numpy's own way."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float32]
Array = NDArray[np.float64]
Real = NDArray[np.floating]
# Above so many values only those in the middle are sought.
_MANY = 2000


def middle_of(values: Floats) -> Floats:
    """The median over the first axis, (...) from (n, ...); n is 1 at least."""
    ordered = np.sort(values, axis=0)
    count = len(values)
    return np.asarray((ordered[(count - 1) // 2] + ordered[count // 2]) / 2, np.float32)


def median(values: ArrayLike) -> float:
    """The median of all values, one at least."""
    flat = np.asarray(values).ravel()
    low, high = (flat.size - 1) // 2, flat.size // 2
    ordered = np.sort(flat) if flat.size < _MANY else np.partition(flat, (low, high))
    return float((ordered[low] + ordered[high]) / 2)


def quantile(values: Real, share: float) -> Array:
    """The quantile over the last axis, (...) from (..., n); n is 1 at least.

    Between two values it is told by a straight line, as numpy does by default (definition 7 of
    R. J. Hyndman and Y. Fan, "Sample quantiles in statistical packages", The American
    Statistician 50, 1996).
    """
    ordered = np.sort(values, axis=-1)
    at = share * (ordered.shape[-1] - 1)
    low = min(int(at), ordered.shape[-1] - 2) if ordered.shape[-1] > 1 else 0
    high = min(low + 1, ordered.shape[-1] - 1)
    below, above = np.asarray(ordered[..., low], float), np.asarray(ordered[..., high], float)
    return np.asarray(below + (above - below) * (at - low), float)
