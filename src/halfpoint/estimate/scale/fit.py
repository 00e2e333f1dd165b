"""The fit of scale use, and what it says of each taster and wine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import chdtrc, ndtri

from halfpoint.errors import NotConverged, NoVariation, TooFewMarks
from halfpoint.estimate.quasi_newton import minimise
from halfpoint.estimate.scale.likelihood import (
    LEAST_FREEDOM,
    MOST_FREEDOM,
    Floats,
    Height,
    Parameters,
    Posterior,
    height,
    node_count,
)
from halfpoint.estimate.scale.sums import Ints, TasterWines, taster_wines

FLAT = 1e-9
FEWEST_WINES = 3
MOST_SPREAD = 5.0
SPREAD_NODES = 15
# On the scale of the log likelihood: a chance of 1 in 400 against the best.
UNLIKELY = 6.0


@dataclass(frozen=True, slots=True)
class Estimates:
    """Estimates with standard errors and the ends of intervals, all of one shape."""

    value: Floats
    se: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class ScaleFit:
    """Wines and tasters when tasters use the scale differently.

    `scores` (wines,) are precision-weighted: a taster who is steady, and who spreads wines, counts
    for more. `severity` (tasters,) is how far below the others a taster marks, in points; `spread`
    how many times the usual differences, 1 as the others; `noise` the standard deviation of a
    mark in points; all three drawn towards the panel. `severity_sd`, `spread_sd` and `noise_sd` say
    how far tasters differ, `freedom` how alike their noises are (many: all alike).
    `p_spread` tests whether tasters differ in spread at all.
    """

    scores: Estimates
    covariance: Floats
    severity: Estimates
    spread: Estimates
    noise: Estimates
    severity_sd: float
    spread_sd: float
    noise_sd: float
    freedom: float
    loglik: float
    p_spread: float
    marks: int


def fit_scale(mark: Floats, taster: Ints, wine: Ints, level: float = 0.95) -> ScaleFit:
    """Fit by maximum likelihood, severity, spread and noise of tasters taken out as above.

    Args:
        mark: marks, free of covariates, site and bottle where those are known; shape (n,).
        taster: from 0, every number met; shape (n,).
        wine: from 0, every number met; shape (n,).
        level: of the intervals.

    Standard errors of the scores are from the observed information of all parameters; a taster's
    are of what the marks leave open given the parameters (empirical Bayes).

    Raises:
        TooFewMarks: fewer than three wines or two tasters, or fewer marks than parameters.
        NoVariation: marks do not differ, or wines and tasters explain them without remainder.
        NotConverged: no optimum was found.
    """
    centre = float(mark.mean())
    sums = taster_wines(mark - centre, taster, wine)
    start = _start(sums)
    nodes = node_count(sums)
    found, at = _climb(sums, start, nodes)
    alike, _ = _climb(sums, _replaced(at, spread=0.0), nodes, spread=False)
    ratio = max(0.0, 2.0 * (found.loglik - alike.loglik))
    covariance = _covariance(sums, at, nodes)
    if not np.all(np.diag(covariance) > 0.0):
        raise NotConverged("scale use has no clear optimum", where="severity, spread and noise")
    reach = float(ndtri(0.5 + level / 2.0))
    severity, spread = _tasters(sums, at, found, nodes, reach)
    return ScaleFit(
        scores=_around(at.scores + centre, np.sqrt(np.diag(covariance)), reach),
        covariance=covariance,
        severity=severity,
        spread=spread,
        noise=_noise(found.posterior, level),
        severity_sd=at.severity,
        spread_sd=at.spread,
        noise_sd=at.noise,
        freedom=at.freedom,
        loglik=found.loglik,
        # Half of the time a spread of nothing is fitted when there is none: Self and Liang
        # (1987), Journal of the American Statistical Association 82, 605-610, case 5.
        p_spread=0.5 * float(chdtrc(1, ratio)) if ratio > 0 else 1.0,
        marks=int(sums.marks.sum()),
    )


def _start(sums: TasterWines) -> Parameters:
    """Where to begin: wine means, and spreads from what is left."""
    tasters, wines = sums.count.shape
    if wines < FEWEST_WINES or tasters < 2 or sums.marks.sum() < wines + 4:
        raise TooFewMarks(
            f"{int(sums.marks.sum())} marks of {tasters} tasters for {wines} wines",
            where="scale use",
            expected=f"at least {FEWEST_WINES} wines, two tasters and {wines + 4} marks",
        )
    scores = sums.total.sum(axis=0) / sums.count.sum(axis=0)
    for _ in range(10):
        left = sums.total - sums.count * scores
        level = left.sum(axis=1) / sums.marks
        scores = (sums.total - sums.count * level[:, None]).sum(axis=0) / sums.count.sum(axis=0)
    fitted = scores + level[:, None]
    squares = sums.squares - (2 * sums.total * fitted - sums.count * np.square(fitted)).sum(axis=1)
    free = max(1.0, float(sums.marks.sum()) - wines - tasters + 1)
    noise = np.sqrt(max(0.0, float(squares.sum())) / free)
    if noise <= 1e-9 * max(1.0, float(np.abs(sums.total).max())):
        raise NoVariation(
            "wines and tasters explain every mark without remainder", where="scale use"
        )
    return Parameters(scores, float(max(np.std(level), noise / 3)), 0.2, float(noise), 10.0)


def _climb(
    sums: TasterWines, start: Parameters, nodes: int, *, spread: bool = True
) -> tuple[Height, Parameters]:
    """The optimum from `start`; without `spread` it stays at what it is."""
    wines = sums.wines
    free = np.ones(wines + 4, dtype=np.bool_)
    free[wines + 1] = spread
    origin = _packed(start)

    def down(point: Floats) -> tuple[float, Floats]:
        full = origin.copy()
        full[free] = point
        at = _unpacked(full, wines)
        there = height(sums, at, nodes)
        return -there.loglik, -_slope(there, at, full)[free]

    guess = np.diag(np.concatenate([
        start.noise**2 / np.maximum(1.0, sums.count.sum(axis=0)),
        np.array([start.severity**2 / len(sums.marks), 1.0 / len(sums.marks),
                  2.0 / sums.marks.sum(), 1.0 / len(sums.marks)]),
    ])[free])  # fmt: skip
    found = minimise(down, origin[free], guess, FLAT, longest=2.0)
    full = origin.copy()
    full[free] = found.point
    if not np.isfinite(found.height):
        raise NotConverged("scale use found no optimum", where="severity, spread and noise")
    at = _unpacked(full, wines)
    return height(sums, at, nodes), at


def _packed(at: Parameters) -> Floats:
    return np.concatenate(
        [at.scores, [at.severity, at.spread, 2 * np.log(at.noise), np.sqrt(2.0 / at.freedom)]]
    )


def _unpacked(point: Floats, wines: int) -> Parameters:
    """Spreads, that of noises √(2/ν) among them, may be met from below, where they are the same."""
    severity, spread, noise, unlike = point[wines:]
    return Parameters(
        point[:wines],
        abs(float(severity)),
        abs(float(spread)),
        float(np.exp(noise / 2)),
        2.0 / float(np.clip(unlike**2, 2.0 / MOST_FREEDOM, 2.0 / LEAST_FREEDOM)),
    )


def _slope(there: Height, at: Parameters, point: Floats) -> Floats:
    """The gradient for the packed parameters; the last is √(2/ν), and ν stays within its range."""
    slope = there.gradient.copy()
    inside = LEAST_FREEDOM < at.freedom < MOST_FREEDOM
    slope[-1] *= -2.0 / point[-1] if inside else 0.0
    wines = at.scores.size
    slope[wines : wines + 2] *= np.where(point[wines : wines + 2] < 0.0, -1.0, 1.0)
    return slope


def _replaced(at: Parameters, *, spread: float) -> Parameters:
    return Parameters(at.scores, at.severity, spread, at.noise, at.freedom)


def _covariance(sums: TasterWines, at: Parameters, nodes: int) -> Floats:
    """Of the scores, from central differences of the gradient.

    Parameters at the end of their range (no spread, noises alike) are left where they are.
    """
    wines = sums.wines
    point = _packed(at)
    free = [*range(wines + 4)]
    if at.freedom >= 0.5 * MOST_FREEDOM or at.freedom <= LEAST_FREEDOM:
        free.remove(wines + 3)
    if at.spread < 1e-3:
        free.remove(wines + 1)
    rows = []
    for index in free:
        step = np.zeros_like(point)
        step[index] = 1e-4 * max(1.0, abs(point[index]))
        ends = []
        for there in (point + step, point - step):
            near = _unpacked(there, wines)
            ends.append(_slope(height(sums, near, nodes), near, there))
        rows.append((ends[0] - ends[1])[free] / (2 * step[index]))
    information = -np.array(rows)
    return np.asarray(np.linalg.pinv((information + information.T) / 2)[:wines, :wines])


def _tasters(
    sums: TasterWines, at: Parameters, found: Height, nodes: int, reach: float
) -> tuple[Estimates, Estimates]:
    """Severity and spread of each taster, over what the spread of spreads might be.

    A few tasters say little of how far spreads differ; taking the best guess for the truth would
    make each taster's interval too short. So it is drawn over by its likelihood, the other
    parameters where they are.
    """
    spreads = np.linspace(0.0, _furthest(sums, at, found, nodes), SPREAD_NODES)
    heights = [height(sums, _replaced(at, spread=float(each)), nodes) for each in spreads]
    chance = np.exp(np.array([each.loglik for each in heights]) - found.loglik)
    chance /= chance.sum()
    weights = np.concatenate(
        [w * each.posterior.weight for w, each in zip(chance, heights, strict=True)], axis=1
    )
    about = [each.posterior for each in heights]
    severity, severity_se = _mixed(
        weights,
        np.concatenate([each.severity for each in about], axis=1),
        np.concatenate([each.variance_severity for each in about], axis=1),
    )
    spread, spread_se = _mixed(
        weights,
        np.concatenate([each.spread for each in about], axis=1),
        np.concatenate([each.variance_spread for each in about], axis=1),
    )
    return _around(-severity, severity_se, reach), _around(1.0 + spread, spread_se, reach)


def _furthest(sums: TasterWines, at: Parameters, found: Height, nodes: int) -> float:
    """A spread of spreads so large that it is out of the question."""
    far = max(0.05, 1.5 * at.spread)
    while far < MOST_SPREAD:
        if height(sums, _replaced(at, spread=far), nodes).loglik < found.loglik - UNLIKELY:
            break
        far *= 1.5
    return far


def _mixed(weight: Floats, mean: Floats, variance: Floats) -> tuple[Floats, Floats]:
    """Mean and standard deviation over the nodes."""
    middle = (weight * mean).sum(axis=1)
    spread = (weight * (variance + np.square(mean - middle[:, None]))).sum(axis=1)
    return middle, np.sqrt(spread)


def _noise(found: Posterior, level: float) -> Estimates:
    """Standard deviation of a mark: mean over the nodes, interval by their chances."""
    sd = np.sqrt(found.nodes)
    mean = found.weight @ sd
    se = np.sqrt(np.maximum(0.0, found.weight @ found.nodes - np.square(mean)))
    below = found.weight.cumsum(axis=1) - found.weight / 2
    tail = (1.0 - level) / 2.0
    ends = [
        np.array([np.exp(np.interp(at, row, np.log(sd))) for row in below])
        for at in (tail, 1 - tail)
    ]
    return Estimates(mean, se, *ends)


def _around(value: Floats, se: Floats, reach: float) -> Estimates:
    return Estimates(value, se, value - reach * se, value + reach * se)
