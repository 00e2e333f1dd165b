"""The likelihood of marks when tasters differ in severity, spread and noise.

    y = β_w + a + b (β_w - β̄) + e,   a ~ N(0, A), b ~ N(0, B), e ~ N(0, v),
    v ~ scaled inverse chi-square (ν, s²),   a, b and v of each taster independent.

Given v, severity a and spread 1 + b of a taster are a regression on two columns and go out in
closed form; v goes out by the trapezoid rule on log v. Gradients are exact: Fisher's identity for
β, s² and ν, and the derivative of the normal likelihood for A and B, which holds at 0.
Brockhoff and Skovgaard (1994), Food Quality and Preference 5, 215-224, for the model; Gelman et
al. (2013), Bayesian Data Analysis, section 3.3, for the scaled inverse chi-square.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri, digamma, gammaln

from halfpoint.estimate.scale.sums import TasterWines

Floats = NDArray[np.float64]
LEAST_FREEDOM, MOST_FREEDOM = 2.0, 1e4
# Of nodes, in standard deviations of log v: the trapezoid rule is then exact to a few digits
# beyond those that matter.
SPACING = 0.75
RARE = 1e-7


@dataclass(frozen=True, slots=True)
class Parameters:
    """β (wines,), and the spreads over tasters: `severity` √A, `spread` √B, `noise` s, ν."""

    scores: Floats
    severity: float
    spread: float
    noise: float
    freedom: float


@dataclass(frozen=True, slots=True)
class Posterior:
    """What the marks say of each taster, given the parameters.

    `weight` (tasters, nodes) are chances of each noise variance `nodes` (nodes,); `severity` and
    `spread` are means of a and b at each node, `variance_*` their variances there, and
    `covariance` theirs.
    """

    nodes: Floats
    weight: Floats
    severity: Floats
    spread: Floats
    variance_severity: Floats
    variance_spread: Floats
    covariance: Floats


@dataclass(frozen=True, slots=True)
class Height:
    """Log likelihood, its gradient for (β, severity, spread, log s², log ν), and the posterior."""

    loglik: float
    gradient: Floats
    posterior: Posterior


def node_count(sums: TasterWines) -> int:
    """How many nodes of log v follow every taster closely, whatever ν is."""
    most = float(sums.marks.max())
    return max(
        1 + int(np.ceil((high - low) / (SPACING * np.sqrt(2.0 / (most + freedom)))))
        for freedom in np.geomspace(LEAST_FREEDOM, MOST_FREEDOM, 25)
        for low, high in [_range(freedom, most)]
    )


def _range(freedom: float, most: float) -> tuple[float, float]:
    """Where log (v / s²) of any taster lies, from noiseless to twenty times the usual variance."""
    low = np.log(freedom / chdtri(freedom + most, RARE))
    high = np.log((freedom + 20.0 * most) / chdtri(freedom + most, 1.0 - RARE))
    return float(low), float(high)


def height(sums: TasterWines, at: Parameters, nodes: int) -> Height:
    """Log likelihood and gradient at these parameters; `nodes` from `node_count`."""
    spaced = np.linspace(*_range(at.freedom, float(sums.marks.max())), nodes)
    x = at.scores - at.scores.mean()
    left = sums.total - sums.count * at.scores
    squares = sums.squares - 2.0 * sums.total @ at.scores + sums.count @ np.square(at.scores)
    n, x1, x2 = sums.marks, sums.count @ x, sums.count @ np.square(x)
    r0, r1 = left.sum(axis=1), left @ x
    v = at.noise**2 * np.exp(spaced)
    a, b = at.severity**2, at.spread**2
    n, x1, x2, r0, r1, squares = (each[:, None] for each in (n, x1, x2, r0, r1, squares))
    det = (v + a * n) * (v + b * x2) - a * b * x1**2
    k00, k01, k11 = a * (v + b * x2) / det, -a * b * x1 / det, b * (v + a * n) / det
    m0, m1 = k00 * r0 + k01 * r1, k01 * r0 + k11 * r1
    given = -0.5 * (
        n * np.log(2 * np.pi * v) + np.log(det) - 2 * np.log(v) + (squares - r0 * m0 - r1 * m1) / v
    )
    half = at.freedom / 2.0
    prior = half * np.log(half) - gammaln(half) - half * (spaced + np.exp(-spaced))
    joint = given + prior
    most = joint.max(axis=1, keepdims=True)
    weight = np.exp(joint - most)
    total = weight.sum(axis=1, keepdims=True)
    weight /= total
    spacing = spaced[1] - spaced[0]
    loglik = float((most + np.log(total * spacing)).sum())
    posterior = Posterior(v, weight, m0, m1, v * k00, v * k11, v * k01)
    u0, u1 = (r0 - n * m0 - x1 * m1) / v, (r1 - x1 * m0 - x2 * m1) / v
    h00 = (n * (v + b * x2) - b * x1**2) / det
    h11 = (x2 * (v + a * n) - a * x1**2) / det
    of_spreads = [
        at.severity * float((weight * (u0**2 - h00)).sum()),
        at.spread * float((weight * (u1**2 - h11)).sum()),
        half * float((weight * (1.0 - np.exp(-spaced))).sum()),
        half
        * float((weight * (np.log(half) + 1.0 - digamma(half) - spaced - np.exp(-spaced))).sum()),
    ]
    of_scores = _of_scores(sums, left, x, posterior, (n, x1, r0))
    return Height(loglik, np.concatenate([of_scores, of_spreads]), posterior)


def _of_scores(
    sums: TasterWines,
    left: Floats,
    x: Floats,
    posterior: Posterior,
    about: tuple[Floats, Floats, Floats],
) -> Floats:
    """Derivative for β: each residual times (1 + b) at its wine, less b / wines at all."""
    n, x1, r0 = about
    m0, m1 = posterior.severity, posterior.spread
    weight = posterior.weight / posterior.nodes
    once = (weight * (1.0 + m1)).sum(axis=1)
    level = (weight * ((1.0 + m1) * m0 + posterior.covariance)).sum(axis=1)
    slope = (weight * ((1.0 + m1) * m1 + posterior.variance_spread)).sum(axis=1)
    own = once @ left - level @ sums.count - (slope @ sums.count) * x
    spare = m1 * (r0 - n * m0 - x1 * m1)
    spare = spare - (n * posterior.covariance + x1 * posterior.variance_spread)
    return np.asarray(own - (weight * spare).sum() / sums.wines)
