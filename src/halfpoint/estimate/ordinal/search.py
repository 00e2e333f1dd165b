"""From a start to the top of a marginal log-likelihood, and how sharp that top is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import NotConverged
from halfpoint.estimate.ordinal.links import UNIT
from halfpoint.estimate.ordinal.prior import Prior
from halfpoint.estimate.ordinal.rows import Rows
from halfpoint.estimate.quasi_newton import minimise

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Observe = Callable[[Floats], Floats]

# Newton decrement at which the search ends; one exact Newton step follows.
FLAT = 1e-8
# Newton decrement above which a search that ended was stuck, and how often to begin anew.
STUCK = 1e-5
MOST_STARTS = 8
# Least eigenvalue of an information matrix in correlation units.
FLATTEST = 1e-4
# Newton decrement that may be left after that step.
UNSETTLED = 1e-4
# Steps of the differences of the gradient, in standard errors.
STEP = 1e-3
# No step of the search moves any parameter further.
FURTHEST = 3.0
# A standard deviation, in units of the link's noise, below which zero is tried.
NEAR_ZERO = 0.1
# Fall of the log-likelihood that zero may cost: rounding.
FREE = 1e-6


class Marginal(Protocol):
    """A log-likelihood with random effects integrated out."""

    rows: Rows

    def height(self, theta: Floats) -> tuple[float, Floats]:
        """Log-likelihood and gradient."""
        ...


@dataclass(frozen=True, slots=True)
class Peak:
    """θ at the top, its log-likelihood (no prior), gradient with prior, information (k, k).

    `active` (k,) marks the parameters that were free: all but standard deviations at zero.
    Rows and columns of the others in `information` are zero.
    """

    theta: Floats
    loglik: float
    slope: Floats
    information: Floats
    active: Flags


def find_peak(
    model: Marginal, prior: Prior, start: Floats, rough: Observe, observe: Observe | None = None
) -> Peak:
    """Climb from `start`, and settle zeros.

    Args:
        model: the log-likelihood.
        prior: what is taken off it.
        start: (k,) where to begin; a standard deviation of zero stays there.
        rough: gives an information matrix (k, k) near enough to search with.
        observe: gives the exact one; without it the gradient is differenced.

    Raises:
        NotConverged: the gradient does not vanish at the end.
    """
    active = np.ones(start.size, dtype=bool)
    active[model.rows.located :] = start[model.rows.located :] != 0.0
    theta, height = _climb(model, prior, start, rough, active)
    near = NEAR_ZERO * UNIT[model.rows.link]
    for place in range(model.rows.located, start.size):
        if active[place] and abs(theta[place]) < near:
            trial = active.copy()
            trial[place] = False
            held = np.where(trial, theta, 0.0)
            other, reached = _climb(model, prior, held, rough, trial)
            if reached >= height - FREE:
                theta, height, active = other, reached, trial
    if observe is None:
        observe = _Differences(model, rough(theta) + prior.precision, active)
    return _polish(model, prior, theta, observe, active)


def _climb(
    model: Marginal, prior: Prior, start: Floats, rough: Observe, active: Flags
) -> tuple[Floats, float]:
    """Quasi-Newton over the active parameters, begun anew where it gets stuck."""
    theta = start.copy()

    def objective(free: Floats) -> tuple[float, Floats]:
        trial = theta.copy()
        trial[active] = free
        if not model.rows.feasible(trial):
            return np.inf, np.zeros(free.size)
        value, slope = _penalised(model, prior, trial)
        return -value, -slope[active]

    height = np.inf
    for _ in range(MOST_STARTS):
        guess = _inverse((rough(theta) + prior.precision)[np.ix_(active, active)])
        found = minimise(objective, theta[active], guess, FLAT, FURTHEST)
        theta[active] = found.point
        done = float(found.slope @ guess @ found.slope) < STUCK or height - found.height < FREE
        height = found.height
        if done:
            break
    return theta, -height


def _inverse(information: Floats) -> Floats:
    """Inverse with eigenvalues, in correlation units, made positive and held off zero.

    A direction that curves the wrong way is gone along as if it curved as much the right way.
    """
    unit = 1.0 / np.sqrt(np.maximum(np.abs(np.diagonal(information)), 1e-8))
    values, vectors = np.linalg.eigh(unit[:, None] * information * unit)
    inverse = (vectors / np.maximum(np.abs(values), FLATTEST)) @ vectors.T
    return np.asarray(unit[:, None] * inverse * unit)


def _polish(model: Marginal, prior: Prior, theta: Floats, observe: Observe, active: Flags) -> Peak:
    """One Newton step with the observed information, kept if it does not fall."""
    information = observe(theta) + prior.precision
    value, slope = _penalised(model, prior, theta)
    free = np.ix_(active, active)
    step = np.zeros(theta.size)
    step[active] = np.linalg.pinv(information[free], hermitian=True) @ slope[active]
    if model.rows.feasible(theta + step):
        reached, flat = _penalised(model, prior, theta + step)
        if reached >= value - 1e-12 * abs(value):
            theta, value, slope = theta + step, reached, flat
    left = float(slope[active] @ np.linalg.pinv(information[free], hermitian=True) @ slope[active])
    if not abs(left) < UNSETTLED:
        raise NotConverged(
            'the order-only estimate did not settle: the steps leave hardly any noise, or '
            'there are too few marks',
            remedy='go by the main estimate, or take steps together into fewer',
        )
    whole = np.zeros_like(information)
    whole[free] = information[free]
    return Peak(theta, value + prior(theta)[0], np.where(active, slope, 0.0), whole, active)


def _penalised(model: Marginal, prior: Prior, theta: Floats) -> tuple[float, Floats]:
    value, slope = model.height(theta)
    penalty, pull = prior(theta)
    return value - penalty, slope - pull


@dataclass(frozen=True, slots=True)
class _Differences:
    """Observed information by central differences of the closed-form gradient."""

    model: Marginal
    rough: Floats
    active: Flags

    def __call__(self, theta: Floats) -> Floats:
        made = np.zeros((theta.size, theta.size))
        free = np.ix_(self.active, self.active)
        error = np.sqrt(np.diagonal(_inverse(self.rough[free])))
        for place, width in zip(np.flatnonzero(self.active), STEP * error, strict=True):
            move = np.zeros(theta.size)
            move[place] = min(width, self._room(theta, int(place)))
            ahead, behind = self.model.height(theta + move)[1], self.model.height(theta - move)[1]
            made[place] = (behind - ahead) / (2.0 * move[place])
        return np.asarray((made + made.T) / 2.0)

    def _room(self, theta: Floats, place: int) -> float:
        """A tenth of the way to the next threshold, which may not be reached."""
        cuts = theta[: self.model.rows.cut_points]
        if place >= cuts.size or cuts.size < 2:
            return np.inf
        return 0.1 * float(np.diff(cuts).min())
