"""Profile-likelihood intervals of the variance components.

For a component held at t, the criterion is minimised over all others; the 95 % interval is
where that minimum stays within 3.84 of the optimum (chi-square, one degree of freedom).
The search is over standard deviations τ, in which the criterion is smooth and even.
Reference: Venzon and Moolgavkar (1988), Applied Statistics 37, 87, for the warm starts;
Bates et al. (2015), section 5.1, for profiling.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri

from halfpoint.estimate.criterion import criterion
from halfpoint.estimate.fit import Layout, RemlFit
from halfpoint.estimate.quasi_newton import minimise

Floats = NDArray[np.float64]

# Rise of the criterion at the ends of a 95 % interval.
RISE = float(chdtri(1, 0.05))
# Near this relative distance from the goal, the straight line of ζ gives the rest.
CLOSE = 0.002
# Newton decrement at which the minimum over the other components counts as found.
FLAT = 2e-5
MOST_STEPS = 40


@dataclass(frozen=True, slots=True)
class Interval:
    """Ends of an interval, None where none was found."""

    low: float | None
    high: float | None


class _Profile:
    """The criterion as a function of the standard deviations τ (k + 1,), residual last."""

    def __init__(self, fit: RemlFit) -> None:
        self.layout: Layout = fit.layout
        variances = np.array(list(fit.variances().values()))
        self.best = np.sqrt(variances)
        self.least = fit.value
        self.hessian = self._hessian(fit)

    def _hessian(self, fit: RemlFit) -> Floats:
        """Curvature by τ from that by the ratios and σ²; unit scale where τ is zero."""
        active = np.append(fit.active, True)
        tau = self.best[active]
        variance = fit.residual
        change = np.diag(np.append(2.0 * tau[:-1] / variance, 2.0 * tau[-1]))
        change[:-1, -1] = -2.0 * fit.ratios[fit.active] / tau[-1]
        made = np.diag(np.full(self.best.size, 4.0 / variance))
        inner = change.T @ fit.curvature @ change
        made[np.ix_(active, active)] = (inner + inner.T) / 2.0
        return made

    def at(self, tau: Floats) -> tuple[float, Floats]:
        """Criterion and gradient at standard deviations τ."""
        variance = tau[-1] ** 2
        ratios = (tau[:-1] ** 2) / variance
        there = criterion(self.layout.evaluate(ratios), self.layout.marks)
        slope = there.gradient_at(variance)
        by_tau = np.append(
            slope[:-1] * 2.0 * tau[:-1] / variance,
            slope[-1] * 2.0 * tau[-1] - 2.0 * float(slope[:-1] @ ratios) / tau[-1],
        )
        return there.value_at(variance), by_tau

    def minimum(self, which: int, value: float, start: Floats) -> float:
        """Least criterion with τ[which] = value, searched from `start` (k + 1,)."""
        free = np.arange(self.best.size) != which
        inverse = np.linalg.pinv(self.hessian[np.ix_(free, free)], hermitian=True)

        def objective(others: Floats) -> tuple[float, Floats]:
            tau = start.copy()
            tau[which] = value
            tau[free] = others
            # A residual near zero would make every ratio infinite; the search never ends there.
            tau[-1] = max(abs(tau[-1]), 1e-3 * self.best[-1])
            height, slope = self.at(tau)
            return height, slope[free]

        return minimise(objective, start[free], np.asarray(inverse, dtype=np.float64), FLAT).height


def component_intervals(fit: RemlFit) -> dict[str, Interval]:
    """95 % intervals of every variance component, in squared points."""
    profile = _Profile(fit)
    names = (*fit.layout.effects, 'residual')
    return {name: _interval(profile, index) for index, name in enumerate(names)}


def _interval(profile: _Profile, which: int) -> Interval:
    others = np.arange(profile.best.size) != which
    hessian = profile.hessian
    cross = hessian[others, which]
    direction = np.zeros(profile.best.size)
    direction[which] = 1.0
    direction[others] = -np.linalg.pinv(hessian[np.ix_(others, others)]) @ cross
    sharpness = max(float(hessian[which] @ direction), 1e-300)
    width = float(np.sqrt(2.0 * RISE / sharpness))
    low = _end(profile, which, direction, -width)
    high = _end(profile, which, direction, width)
    return Interval(_square(low), _square(high))


def _end(profile: _Profile, which: int, direction: Floats, width: float) -> float | None:
    """Where ζ = √(rise) reaches √3.84, by secant steps kept inside a bracket."""
    best = float(profile.best[which])
    goal = float(np.sqrt(RISE))
    sign = np.sign(width)
    inner, inner_zeta = 0.0, 0.0
    outer: float | None = None
    distance = abs(width)
    if sign < 0:
        if best == 0.0:
            return 0.0
        if which < profile.best.size - 1 and distance > 0.6 * best:
            floor = profile.minimum(which, 0.0, profile.best)
            if floor - profile.least < RISE:
                return 0.0
            outer = best
        distance = min(distance, 0.9 * best)
    for _ in range(MOST_STEPS):
        start = np.abs(profile.best + sign * distance * direction)
        start[-1] = max(start[-1], profile.best[-1] / 10.0)
        height = profile.minimum(which, best + sign * distance, start)
        zeta = float(np.sqrt(max(height - profile.least, 0.0)))
        if abs(zeta - goal) < CLOSE * goal:
            return float(best + sign * _next(distance, zeta, goal, inner, inner_zeta, None))
        if zeta < goal:
            inner, inner_zeta = distance, zeta
        else:
            outer = distance
        distance = _next(distance, zeta, goal, inner, inner_zeta, outer)
        if sign < 0:
            distance = min(distance, best * (1.0 - 1e-9))
    return None


def _next(
    distance: float,
    zeta: float,
    goal: float,
    inner: float,
    inner_zeta: float,
    outer: float | None,
) -> float:
    """ζ is nearly a straight line through the optimum, so a proportional step is close."""
    if distance > inner and zeta > inner_zeta:
        step = inner + (distance - inner) * (goal - inner_zeta) / (zeta - inner_zeta)
    else:
        step = distance * goal / max(zeta, 0.1 * goal)
    step = min(step, 4.0 * max(distance, inner))
    if outer is not None and not inner < step < outer:
        step = (inner + outer) / 2.0
    return step


def _square(deviation: float | None) -> float | None:
    return None if deviation is None else float(deviation) ** 2
