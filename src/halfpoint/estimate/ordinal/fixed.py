"""The cumulative link model without random effects, by Newton's method.

The log-likelihood is concave for both links (Pratt 1981, J. Am. Stat. Assoc. 76, 103), so the
only trouble is a maximum at infinity.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logit, ndtri

from halfpoint.errors import NotConverged
from halfpoint.estimate.ordinal.links import UNIT
from halfpoint.estimate.ordinal.prior import Prior
from halfpoint.estimate.ordinal.rows import Height, Rows, fixed_height

Floats = NDArray[np.float64]

MOST_STEPS = 60
MOST_HALVINGS = 40
# Newton decrement at which nothing more is to be gained.
SETTLED = 1e-16
# Standard error of a wine, in units of the link's own noise, that only a flat ridge leaves.
LOOSE = 20.0


@dataclass(frozen=True, slots=True)
class FixedFit:
    """The maximum: θ, log-likelihood, information (k, k), and whether it is finite."""

    theta: Floats
    loglik: float
    information: Floats
    slope: Floats
    iterations: int
    finite: bool


def fit_fixed(rows: Rows, prior: Prior) -> FixedFit:
    """Maximise the log-likelihood less the prior's penalty.

    Raises:
        NotConverged: Newton's steps no longer rise and have not settled.
    """
    rows = _grouped(rows)
    theta = _start(rows)
    here = _penalised(rows, prior, theta)
    iterations = 0
    while iterations < MOST_STEPS:
        iterations += 1
        step, loose = _newton(rows, here)
        rise = float(step @ here.gradient)
        if loose or rise < SETTLED * max(1.0, abs(here.value)):
            break
        moved = _climb(rows, prior, theta, step, here.value)
        if moved is None:
            break
        theta, here = moved
    if not loose and rise > 1e-6:
        raise NotConverged(
            'the order-only estimate did not settle',
            remedy='leave covariates out, or gather more marks',
        )
    return FixedFit(
        theta, here.value + prior(theta)[0], -here.curvature, here.gradient, iterations, not loose
    )


def _grouped(rows: Rows) -> Rows:
    """Without covariates the counts of each step of each wine say all."""
    if rows.covariates.shape[1] or rows.weight is not None:
        return rows
    counts = np.bincount(rows.step * rows.wines + rows.wine, minlength=rows.steps * rows.wines)
    met = np.flatnonzero(counts)
    step, wine = np.divmod(met, rows.wines)
    none = np.zeros((met.size, 0))
    return Rows(rows.link, step, rows.steps, wine, rows.wines, none, counts[met].astype(float))


def _start(rows: Rows) -> Floats:
    """Thresholds of the marks as a whole, every other parameter zero."""
    counts = np.bincount(rows.step, rows.weight, rows.steps)
    share = np.cumsum(counts)[:-1] / counts.sum()
    theta = np.zeros(rows.located)
    theta[: rows.cut_points] = logit(share) if rows.link == 'logit' else ndtri(share)
    return theta


def _penalised(rows: Rows, prior: Prior, theta: Floats) -> Height:
    bare = fixed_height(rows, theta)
    penalty, slope = prior(theta)
    return Height(bare.value - penalty, bare.gradient - slope, bare.curvature - prior.precision)


def _newton(rows: Rows, here: Height) -> tuple[Floats, bool]:
    """Newton's step, and whether some parameter hangs in the air."""
    try:
        inverse = np.linalg.inv(-here.curvature)
    except np.linalg.LinAlgError:
        return here.gradient, True
    loose = np.diagonal(inverse)[rows.cut_points :] * _scale(rows) ** 2
    in_air = not (np.diagonal(inverse) > 0.0).all() or bool((loose > LOOSE**2).any())
    return inverse @ here.gradient, in_air


def _scale(rows: Rows) -> Floats:
    """What makes wines and covariates comparable with the link's own noise."""
    spread = rows.covariates.std(axis=0)
    return np.concatenate([np.ones(rows.wines - 1), spread]) / UNIT[rows.link]


def _climb(
    rows: Rows, prior: Prior, theta: Floats, step: Floats, height: float
) -> tuple[Floats, Height] | None:
    """The longest halving of the step that rises; None when rounding hides the rise."""
    for halving in range(MOST_HALVINGS):
        trial = theta + step * 0.5**halving
        if rows.feasible(trial):
            there = _penalised(rows, prior, trial)
            if there.value >= height:
                return trial, there
    return None
