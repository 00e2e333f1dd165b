"""Where each taster's integrand is highest: Newton's method, fenced in by what is known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.ordinal.links import Cells, Cuts, Link, cells

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

MOST_STEPS = 100
# Newton's method doubles the digits: after a step this small the next would be rounding.
SMALL = 1e-6
# No step goes further than this before the top lies between two known points.
FURTHEST = 3.0


@dataclass(frozen=True, slots=True)
class Top:
    """Tops v̂ (t,), widths (t,) of the integrands there, and the rows' cells at v̂."""

    v: Floats
    width: Floats
    at: Cells


def find_tops(
    link: Link,
    cuts: Cuts,
    eta: Floats,
    sigma: float,
    start: Floats,
    sums: Callable[[Floats], Floats],
    whose: Codes,
) -> Top:
    """The top of g(v) = Σ log P(y | η + σv) − v²/2 for every taster, from `start` (t,).

    g is concave, so the sign of its slope says on which side the top lies.
    """
    v = start.copy()
    low, high = np.full(v.size, -np.inf), np.full(v.size, np.inf)
    for _ in range(MOST_STEPS):
        at = cells(link, cuts, eta + sigma * v[whose], 2)
        slope = sigma * sums(at.slope) - v
        low, high = np.where(slope > 0.0, v, low), np.where(slope < 0.0, v, high)
        step = slope / (1.0 + sigma**2 * sums(at.weight))
        v = _fenced(v, step, low, high)
        if float(np.abs(step).max()) < SMALL:
            break
    at = cells(link, cuts, eta + sigma * v[whose], 3)
    return Top(v, 1.0 / np.sqrt(1.0 + sigma**2 * sums(at.weight)), at)


def _fenced(v: Floats, step: Floats, low: Floats, high: Floats) -> Floats:
    """Newton's step where it stays between the fences, else halfway between them."""
    ahead = v + np.clip(step, -FURTHEST, FURTHEST)
    # Back on a fence is no progress either, unless the step was too small to tell.
    outside = ((ahead <= low) | (ahead >= high)) & (np.abs(step) > SMALL)
    # A step out of the fences has both of them finite: it went past where g fell before.
    ahead[outside] = 0.5 * (low[outside] + high[outside])
    return ahead
