"""Rating scale given each taster's total: wines compared with severity gone altogether.

Given the sum of a taster's steps, the chance of how they fell no longer depends on the taster,
so that nothing is estimated for tasters and joint estimation's spread is not there. It needs
every taster's step for every wine.
Andersen (1970), J. R. Statist. Soc. B 32, 283-301; Fischer and Ponocny (1994), Psychometrika 59,
177-192.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import NotConverged, TooFewMarks
from halfpoint.estimate.quasi_newton import minimise
from halfpoint.panel.two_way import Floats

Ints = NDArray[np.int64]
Scale = Literal['shared', 'own']
FLAT = 1e-14


@dataclass(frozen=True, slots=True)
class ConditionalFit:
    """`thresholds[w, j]` is the log odds against step j + 1 of wine w, mean 0 over all.

    `location` is the mean of a wine's thresholds: higher for a wine that is marked lower.
    """

    thresholds: Floats
    location: Floats
    loglik: float
    tasters: int


def fit_conditional(step: Ints, scale: Scale = 'shared') -> ConditionalFit:
    """Conditional maximum likelihood of complete steps.

    Args:
        step: which step each mark is, from 0; shape (tasters, wines).
        scale: how the distances between steps are taken, below.

    `shared`: the distances between steps are those of every wine (rating scale); `own`: each
    wine has its own (partial credit).

    Raises:
        TooFewMarks: fewer than two wines, or no taster between the ends of the scale.
        NotConverged: no optimum was reached, as when a wine always has the lowest step.
    """
    top = int(step.max(initial=0))
    sums = step.sum(axis=1)
    inside = step[(sums > 0) & (sums < top * step.shape[1])]
    if step.shape[1] < 2 or inside.size == 0:
        raise TooFewMarks(
            f"{len(inside)} tasters between the ends of the scale, {step.shape[1]} wines",
            where="the conditional rating scale",
            expected="two wines, and a taster who did not give them all the same end",
        )
    _refuse_endless(inside, top, scale)
    likelihood = _Likelihood(inside, top, _basis(step.shape[1], top, scale))
    start = np.zeros(likelihood.basis.shape[1])
    found = minimise(likelihood.at, start, np.eye(start.size) / len(inside), FLAT, longest=1.0)
    if not np.abs(found.slope).max() < 1e-3:
        raise NotConverged(
            "the conditional rating scale found no optimum",
            where=f"the slope is still {np.abs(found.slope).max():.2g}",
            remedy="look for a wine that always has the lowest or the highest step",
        )
    sums_of_thresholds = (likelihood.basis @ found.point).reshape(step.shape[1], top)
    thresholds = np.diff(sums_of_thresholds, axis=1, prepend=0.0)
    thresholds -= thresholds.mean()
    return ConditionalFit(thresholds, thresholds.mean(axis=1), -found.height, len(inside))


def _refuse_endless(step: Ints, top: int, scale: Scale) -> None:
    """A wine at one end always, or a step unused, has its optimum at infinity."""
    used = np.stack([(step == k).any(axis=0) for k in range(top + 1)])
    ends = (step == 0).all(axis=0) | (step == top).all(axis=0)
    empty = ~used.all(axis=0) if scale == 'own' else ~used.any(axis=1).all() | ends
    if np.any(empty | ends):
        raise NotConverged(
            "a wine always has one end of the scale, or a step is never used",
            where="the conditional rating scale",
            remedy="leave the wine out, or join the step with its neighbour",
        )


def _basis(wines: int, top: int, scale: Scale) -> Floats:
    """From parameters to sums of thresholds, one row a wine and step."""
    count = np.arange(1.0, top + 1.0)
    if scale == 'own':
        return np.eye(wines * top)[:, 1:]
    of_wine = np.kron(np.eye(wines), count[:, None])[:, 1:]
    of_step = np.kron(np.ones((wines, 1)), np.eye(top)[:, 1:])
    return np.concatenate([of_wine, of_step], axis=1)


class _Likelihood:
    def __init__(self, step: Ints, top: int, basis: Floats) -> None:
        self.basis, self.top, self.wines = basis, top, step.shape[1]
        self.counts = np.stack([(step == k).sum(axis=0) for k in range(1, top + 1)], axis=1)
        self.tasters = np.bincount(step.sum(axis=1), minlength=self.wines * top + 1)

    def at(self, parameters: Floats) -> tuple[float, Floats]:
        """Less the log likelihood, and its gradient."""
        eased = np.exp(-(self.basis @ parameters)).reshape(self.wines, self.top)
        weights = np.concatenate([np.ones((self.wines, 1)), eased], axis=1)
        every = _symmetric(weights)
        expected = np.zeros_like(eased)
        share = self.tasters / every
        for wine in range(self.wines):
            others = _symmetric(np.delete(weights, wine, axis=0))
            for k in range(1, self.top + 1):
                expected[wine, k - 1] = weights[wine, k] * (share[k : k + len(others)] @ others)
        log_like = (self.counts * np.log(eased)).sum() - self.tasters @ np.log(every)
        return -float(log_like), self.basis.T @ (self.counts - expected).ravel()


def _symmetric(weights: Floats) -> Floats:
    """Elementary symmetric functions: the weight of every total, shape (highest total + 1,)."""
    made = np.ones(1)
    for row in weights:
        made = np.convolve(made, row)
    return made
