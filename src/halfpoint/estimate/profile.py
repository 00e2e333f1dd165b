"""Profile-likelihood intervals of the variance components.

For a component held at t, the criterion is minimised over all others; the 95 % interval is
where that minimum stays within 3.84 of the optimum (chi-square, one degree of freedom).
The search is over standard deviations τ, in which the criterion is smooth and even.
Reference: Venzon and Moolgavkar (1988), Applied Statistics 37, 87, for the warm starts;
Bates et al. (2015), section 5.1, for profiling.
"""

from __future__ import annotations

import math
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
GOAL = math.sqrt(RISE)
# Near this relative distance from the goal, the straight line of ζ gives the rest.
CLOSE = 0.002
# Newton decrement at which the minimum over the other components counts as found.
FLAT = 2e-5
MOST_STEPS = 40
# Standard deviations, as shares of the residual's, below which an effect may have stopped at
# zero by mistake, and at which it starts again.
NEARLY_NONE = 0.05
AWAKE = 0.3
MOST_WAKINGS = 3
# An end below this share of the standard deviation is called zero.
LEAST = 2e-3


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

    def at(self, tau: Floats) -> tuple[float, Floats, Floats]:
        """Criterion at standard deviations τ, its gradient by τ, and that by the ratios (k,)."""
        variance = tau[-1] ** 2
        ratios = (tau[:-1] ** 2) / variance
        try:
            there = criterion(self.layout.evaluate(ratios), self.layout.marks)
        except np.linalg.LinAlgError:
            # Too far out for the machine's numbers; the search steps back from there.
            return np.inf, np.zeros(tau.size), np.zeros(ratios.size)
        slope = there.gradient_at(variance)
        by_tau = np.append(
            slope[:-1] * 2.0 * tau[:-1] / variance,
            slope[-1] * 2.0 * tau[-1] - 2.0 * float(slope[:-1] @ ratios) / tau[-1],
        )
        return there.value_at(variance), by_tau, slope[:-1]

    def minimum(self, which: int, value: float, start: Floats) -> tuple[float, Floats]:
        """Least rise ζ with τ[which] = value, and where; searched from `start` (k + 1,)."""
        free = np.arange(self.best.size) != which
        inverse = np.linalg.pinv(self.hessian[np.ix_(free, free)], hermitian=True)

        def whole(others: Floats) -> Floats:
            tau = start.copy()
            tau[which] = value
            tau[free] = others
            # A residual near zero would make every ratio infinite; the search never ends there.
            tau[-1] = max(abs(tau[-1]), LEAST / 2.0 * self.best[-1])
            return tau

        def objective(others: Floats) -> tuple[float, Floats]:
            height, slope, _ = self.at(whole(others))
            return height, slope[free]

        point, longest = start[free], float(self.best.max())
        for _ in range(MOST_WAKINGS):
            found = minimise(objective, point, np.asarray(inverse), FLAT, longest)
            tau = whole(found.point)
            asleep = self._asleep(tau, which)
            if not asleep.any():
                break
            tau[:-1][asleep] = AWAKE * max(tau[-1], self.best[-1])
            point = tau[free]
        return float(np.sqrt(max(found.height - self.least, 0.0))), np.abs(tau)

    def _asleep(self, tau: Floats, which: int) -> NDArray[np.bool_]:
        """Effects left at zero although the criterion falls from there, (k,).

        By τ every criterion is flat at zero, so that a search can stop there by mistake.
        """
        small = np.abs(tau[:-1]) < NEARLY_NONE * tau[-1]
        if which < small.size:
            small[which] = False
        if small.any():
            small &= np.less(self.at(tau)[2], -FLAT)
        return np.asarray(small, dtype=np.bool_)


def component_intervals(fit: RemlFit) -> dict[str, Interval]:
    """95 % intervals of every variance component, in squared points."""
    profile = _Profile(fit)
    names = (*fit.layout.effects, 'residual')
    return {name: _interval(profile, index) for index, name in enumerate(names)}


def _interval(profile: _Profile, which: int) -> Interval:
    others = np.arange(profile.best.size) != which
    hessian = profile.hessian
    direction = np.zeros(profile.best.size)
    direction[which] = 1.0
    inverse = np.linalg.pinv(hessian[np.ix_(others, others)], hermitian=True)
    direction[others] = -inverse @ hessian[others, which]
    # Rounding can leave the curvature along the valley anything; it is never that flat.
    sharpness = max(float(hessian[which] @ direction), 1e-4 * abs(float(hessian[which, which])))
    reach = direction * GOAL * np.sqrt(2.0 / sharpness)
    return Interval(_square(_end(profile, which, -reach)), _square(_end(profile, which, reach)))


def _end(profile: _Profile, which: int, reach: Floats) -> float | None:
    """Where ζ = √(rise) reaches √3.84; `reach` (k + 1,) is where it would if quadratic."""
    best = float(profile.best[which])
    distance, sign = abs(float(reach[which])), float(np.sign(reach[which]))
    bracket = _Bracket()
    if sign < 0:
        if best == 0.0:
            return 0.0
        if which < profile.best.size - 1 and distance > 0.6 * best:
            floor, _ = profile.minimum(which, 0.0, profile.best)
            if floor < GOAL:
                return 0.0
            bracket.add(best, floor)
        distance = min(distance, 0.9 * best)
    tau = np.maximum(profile.best + reach, 0.5 * profile.best)
    for _ in range(MOST_STEPS):
        zeta, tau = profile.minimum(which, best + sign * distance, tau)
        bracket.add(distance, zeta)
        if abs(zeta - GOAL) < CLOSE * GOAL:
            return best + sign * bracket.end()
        if sign < 0 and zeta < GOAL and distance > best * (1.0 - LEAST):
            return 0.0
        distance = bracket.step()
        if sign < 0:
            distance = min(distance, best * (1.0 - LEAST / 2.0))
    return None


class _Bracket:
    """Distances between which ζ passes its goal, and the next one to try.

    ζ is nearly a straight line through the optimum, so the secant is close.
    """

    def __init__(self) -> None:
        self.before = self.inner = (0.0, 0.0)
        self.seen = [(0.0, 0.0)]
        self.outer: tuple[float, float] | None = None
        self._stuck = 0

    def add(self, distance: float, zeta: float) -> None:
        """Take in ζ at a distance."""
        self.seen.append((distance, zeta))
        if zeta < GOAL:
            self._stuck = max(1, self._stuck + 1)
            self.before, self.inner = self.inner, (distance, zeta)
        else:
            self._stuck = min(-1, self._stuck - 1)
            self.outer = (distance, zeta)

    def end(self) -> float:
        """Where the line through the two nearest points passes the goal."""
        near, next_near = sorted(self.seen, key=lambda point: abs(point[1] - GOAL))[:2]
        slope = (next_near[1] - near[1]) / (next_near[0] - near[0])
        return near[0] + (GOAL - near[1]) / slope

    def step(self) -> float:
        """The next distance: by secant, by halves when one side will not move."""
        if self.outer is None:
            low, high = self.before, self.inner
            rise = max(high[1] - low[1], 1e-3 * GOAL)
            step = high[0] + (GOAL - high[1]) * (high[0] - low[0]) / rise
            return min(step, 4.0 * high[0])
        low, high = self.inner, self.outer
        if abs(self._stuck) > 2:
            return (low[0] + high[0]) / 2.0
        return low[0] + (GOAL - low[1]) * (high[0] - low[0]) / (high[1] - low[1])


def _square(deviation: float | None) -> float | None:
    return None if deviation is None else float(deviation) ** 2
