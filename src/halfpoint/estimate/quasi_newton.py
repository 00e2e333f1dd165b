"""A small quasi-Newton search (BFGS) for the few variances of a model.

Ours because SciPy's takes 0.2 s to import, of a result that should take little over a second,
and because the profile wants to start from a curvature that is already known.
Reference: Nocedal and Wright (2006), Numerical Optimization, algorithm 6.1 and equation 6.17.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Objective = Callable[[Floats], tuple[float, Floats]]

MOST_STEPS = 100
MOST_HALVINGS = 30
# Armijo's constant: the share of the promised decrease that a step must bring.
ENOUGH = 1e-4


@dataclass(frozen=True, slots=True)
class Minimum:
    """Where the search ended: point (k,), height there, gradient (k,)."""

    point: Floats
    height: float
    slope: Floats


def minimise(
    objective: Objective,
    start: Floats,
    inverse: Floats,
    flat: float,
    longest: float = np.inf,
) -> Minimum:
    """Minimise a smooth function from `start`.

    Args:
        objective: gives height and gradient at a point.
        start: (k,) where to begin.
        inverse: (k, k) a guess at the inverse of the Hessian, positive definite.
        flat: stop when the Newton decrement gᵀH⁻¹g falls below this.
        longest: no step moves any coordinate further than this.
    """
    height, slope = objective(start)
    here = Minimum(start, height, slope)
    for _ in range(MOST_STEPS):
        step = -inverse @ here.slope
        if float(-here.slope @ step) < flat:
            break
        step *= min(1.0, longest / float(np.abs(step).max()))
        promised = float(-here.slope @ step)
        there = _backtrack(objective, here, step, promised)
        if there is None:
            break
        inverse = _update(inverse, there.point - here.point, there.slope - here.slope)
        here = there
    return here


def _backtrack(
    objective: Objective, here: Minimum, step: Floats, promised: float
) -> Minimum | None:
    """The first halving of the step that falls enough; None when rounding hides the fall."""
    share = 1.0
    for _ in range(MOST_HALVINGS):
        point = here.point + share * step
        height, slope = objective(point)
        rounding = 1e-14 * abs(here.height)
        if height <= here.height - ENOUGH * share * promised + rounding:
            return Minimum(point, height, slope)
        share *= 0.5
    return None


def _update(inverse: Floats, moved: Floats, change: Floats) -> Floats:
    """The BFGS update, left out where the curvature along the step is not positive."""
    along = float(moved @ change)
    if along <= 1e-12 * float(np.linalg.norm(moved) * np.linalg.norm(change)):
        return inverse
    left = np.eye(moved.size) - np.outer(moved, change) / along
    return np.asarray(left @ inverse @ left.T + np.outer(moved, moved) / along)
