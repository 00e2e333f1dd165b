"""A learner's marks against a panel's: severity, spread, noise, agreement, repeatability.

    y = β - s + (t - 1)(β - c) + e,   β = r + error of the reference,

with severity s, spread t and noise e as in `estimate.scale`, whose tasters are the panel.  Three
things are counted that a plain regression on the reference r would not: the reference is itself
uncertain, the learner's bottle is another bottle, and the learner is taken to be one more taster
of the panel until the marks say otherwise.
Given spread, noise and the share of noise that is the learner's own unsteadiness, severity goes
out in closed form (the normal posterior); the three are summed over a grid, so that nothing is
drawn at random and intervals need no large numbers.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri, gammaln, ndtri

from halfpoint.teach.prior import Estimate, Prior

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# First over all that can be, then over all that is left, in standard deviations.
WIDE_NODES, NODES, OWN_NODES = 61, 31, 6
WIDE_REACH, REACH = 12.0, 6.0
# A learner may use the scale unlike anybody on the panel: Student's t with so many degrees of
# freedom draws the usual ones together and lets go of the unusual. Our choice, measured.
TAILS = 4.0
# So too for severity and noise: one learner in two may be unlike anybody, severity then being
# so many times as wide, and noise with so few degrees of freedom.
UNLIKE, UNLIKE_SEVERITY, UNLIKE_FREEDOM = 0.5, 3.0, 3.0
RARE = 1e-5
FEWEST_WINES = 3
LEVEL = 0.95
TAIL = (1.0 - LEVEL) / 2.0


@dataclass(frozen=True, slots=True)
class Known:
    """What a panel says of some wines, in one kind of mark.

    `score` (wines,) with `covariance` (wines, wines), in points squared; `centre` is the level
    about which spread is taken, the panel's mean over all its wines; `wine_sd` how far apart
    wines are; `bottle_sd` one bottle of a wine from the next.
    """

    score: Floats
    covariance: Floats
    centre: float
    wine_sd: float
    bottle_sd: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """How a learner marks beside the panel, drawn towards it as far as few marks deserve.

    `severity` in points below the panel; `spread` 1 as the panel; `noise` the standard deviation
    of a mark about the learner's own line; `agreement` the correlation that the learner's marks
    would have with the panel over wines as different as the panel's; `repeatability` the standard
    deviation of a mark given again, None without second pours; `plain_r` the correlation as it
    came out, None below three wines or for equal marks. `told` says whether spread, noise and
    agreement rest on enough to be spoken of: three wines, and marks that differ.
    """

    severity: Estimate
    spread: Estimate
    noise: Estimate
    agreement: Estimate
    repeatability: Estimate | None
    plain_r: Estimate | None
    wines: int
    marks: int
    second_pours: int
    same_mark: bool
    told: bool


@dataclass(frozen=True, slots=True)
class _Cells:
    """Marks by wine: mean, number and squares about the mean; wines that were met only."""

    mean: Floats
    count: Floats
    within: float
    repeats: int
    known: Known


def calibrate(mark: Floats, wine: Ints, known: Known, prior: Prior) -> Calibration:
    """How a learner marks, from marks of one kind.

    Args:
        mark: marks in points, shape (n,), at least one.
        wine: which wine of `known` each is of, from 0, shape (n,); a wine poured again stands
            again.
        known: the reference.
        prior: what is expected of the learner before the first mark.

    Severity and spread: the mixed assessor model of Brockhoff, Schlich and Skovgaard (2015), Food
    Quality and Preference 39, 156-166, one assessor against given products. Error in the
    reference: Fuller (1987), Measurement Error Models, section 1.3.

    Raises:
        ValueError: no mark, or one that is not finite.
    """
    if mark.size == 0 or not np.isfinite(mark).all():
        raise ValueError('marks must be finite, and at least one')
    cells = _cells(mark, wine, known)
    grid = _grid(cells, prior)
    same = bool(np.ptp(mark) == 0.0) and mark.size > 1
    wines = int(cells.mean.size)
    return Calibration(
        severity=_negative(_mixture(grid)),
        spread=_from_nodes(grid.spread, grid.weight.sum(axis=(0, 2))),
        noise=_from_nodes(grid.noise, grid.weight.sum(axis=(0, 1))),
        agreement=_from_nodes(_agreement(grid, known.wine_sd), grid.weight.sum(axis=0)),
        repeatability=_repeatability(grid) if cells.repeats else None,
        plain_r=_plain(cells),
        wines=wines,
        marks=int(mark.size),
        second_pours=cells.repeats,
        same_mark=same,
        told=wines >= FEWEST_WINES and not same,
    )


def _cells(mark: Floats, wine: Ints, known: Known) -> _Cells:
    met, place = np.unique(wine, return_inverse=True)
    count = np.bincount(place).astype(np.float64)
    mean = np.bincount(place, mark) / count
    within = float(np.square(mark - mean[place]).sum())
    score = known.score[met]
    covariance = known.covariance[np.ix_(met, met)] + known.bottle_sd**2 * np.eye(met.size)
    here = Known(score, covariance, known.centre, known.wine_sd, known.bottle_sd)
    return _Cells(mean, count, within, int(mark.size - met.size), here)


@dataclass(frozen=True, slots=True)
class _Grid:
    """Chances `weight` (own, spread, noise), and the learner's level given each.

    `own` shares stand once for learners like the panel and once for learners unlike it.
    """

    own: Floats
    spread: Floats
    noise: Floats
    weight: Floats
    level: Floats
    variance: Floats


def _grid(cells: _Cells, prior: Prior) -> _Grid:
    """The posterior over spread, noise and the share of noise that is one's own unsteadiness.

    A share that nothing is known of is as likely to be any: without second pours it does not
    matter, and one node is enough.
    """
    reach = prior.spread_sd * WIDE_REACH
    spread = np.linspace(prior.spread - reach, prior.spread + reach, WIDE_NODES)
    half = np.array([0.5])
    first = _weighed(cells, prior, half, spread, _all_noises(cells, prior))
    if cells.repeats:
        half = (np.arange(OWN_NODES) + 0.5) / OWN_NODES
    closer = np.exp(_closer(np.log(first.noise), first.weight.sum(axis=(0, 1))))
    return _weighed(
        cells, prior, half, _closer(spread, first.weight.sum(axis=(0, 2))), np.square(closer)
    )


def _closer(nodes: Floats, chance: Floats) -> Floats:
    """Nodes where the chances are, no further from each other than they were."""
    mean = float(chance @ nodes)
    sd = float(np.sqrt(chance @ np.square(nodes - mean)))
    reach = REACH * max(sd, float(nodes[1] - nodes[0]) / 2.0)
    return np.linspace(mean - reach, mean + reach, NODES)


def _all_noises(cells: _Cells, prior: Prior) -> Floats:
    """Variances from steadier than any to far noisier than the marks can bear."""
    marks = cells.count.sum()
    off = cells.mean - cells.known.score
    left = float(cells.count @ np.square(off + prior.severity)) + cells.within
    scale = prior.freedom * prior.noise**2
    least = min(prior.freedom, UNLIKE_FREEDOM)
    lowest = least / prior.freedom * scale / chdtri(least + marks, RARE)
    highest = (scale + 2.0 * left) / chdtri(least + marks, 1.0 - RARE)
    return np.asarray(np.geomspace(lowest, highest, WIDE_NODES))


def _weighed(cells: _Cells, prior: Prior, own: Floats, spread: Floats, variance: Floats) -> _Grid:
    alike = ((1.0 - UNLIKE, 1.0), (UNLIKE, UNLIKE_SEVERITY))
    sums = [_sums(cells, share, spread, variance) for share in own.tolist()]
    parts = [
        _given(each, replace(prior, severity_sd=times * prior.severity_sd))
        for _, times in alike
        for each in sums
    ]
    logs, levels, variances = (np.stack(each) for each in zip(*parts, strict=True))
    chance = np.repeat([share / times for share, times in alike], own.size)
    logs = logs + np.log(chance)[:, None, None]
    away = np.square((spread - prior.spread) / prior.spread_sd)[:, None]
    logs = logs - (TAILS + 1.0) / 2.0 * np.log1p(away / TAILS)
    logs = logs + _noise_before(np.log(variance / prior.noise**2), prior.freedom)
    weight = np.exp(logs - logs.max())
    weight /= weight.sum()
    return _Grid(np.tile(own, len(alike)), spread, np.sqrt(variance), weight, levels, variances)


def _noise_before(relative: Floats, freedom: float) -> Floats:
    """Log density of log (v / usual v): most learners as the panel, some unlike anybody there."""
    parts = []
    for share, degrees in ((1.0 - UNLIKE, freedom), (UNLIKE, min(freedom, UNLIKE_FREEDOM))):
        half = degrees / 2.0
        level = half * np.log(half) - gammaln(half) + np.log(share)
        parts.append(level - half * (relative + np.exp(-relative)))
    return np.asarray(np.logaddexp(*parts))


@dataclass(frozen=True, slots=True)
class _Sums:
    """What marks say of the level, over (spread, noise), for one share.

    `weight` Σ 1/v, `level` Σ d/v and `squares` Σ d²/v of the distances d from the reference with
    variances v; `logs` the part of the log likelihood that the level does not touch.
    """

    weight: Floats
    level: Floats
    squares: Floats
    logs: Floats


def _sums(cells: _Cells, share: float, spread: Floats, variance: Floats) -> _Sums:
    """Sums over wines, for one share.

    Means of a wine's marks are scaled by their own variance and turned so that the covariance of
    the reference is diagonal: then every spread and noise is one line of arithmetic.
    """
    known = cells.known
    scale = np.sqrt(1.0 - share + share / cells.count)
    roots, turn = np.linalg.eigh(known.covariance / np.outer(scale, scale))
    off, one, slope = (
        turn.T @ (each / scale)
        for each in (cells.mean - known.score, np.ones(scale.size), known.score - known.centre)
    )
    each = np.square(spread)[:, None, None] * np.maximum(roots, 0.0) + variance[None, :, None]
    left = off - (spread[:, None] - 1.0) * slope
    logs = -0.5 * np.log(each).sum(axis=2) - np.log(scale).sum()
    if cells.repeats:
        own = share * variance
        logs -= 0.5 * (cells.repeats * np.log(own) + cells.within / own)
    inverse = 1.0 / each
    weight = inverse @ np.square(one)
    level, squares = (np.einsum('snw,sw->sn', inverse, part) for part in (one * left, left * left))
    return _Sums(weight, level, squares, logs)


def _given(sums: _Sums, prior: Prior) -> tuple[Floats, Floats, Floats]:
    """Log likelihood, mean and variance of the level, over (spread, noise)."""
    before = 1.0 / prior.severity_sd**2
    precision = before + sums.weight
    expected = -prior.severity
    mean = (expected * before + sums.level) / precision
    squares = sums.squares - 2.0 * mean * sums.level + np.square(mean) * sums.weight
    squares += np.square(mean - expected) * before
    return sums.logs - 0.5 * (squares + np.log(precision)), mean, 1.0 / precision


def _mixture(grid: _Grid) -> Estimate:
    mean = float((grid.weight * grid.level).sum())
    second = (grid.weight * (grid.variance + np.square(grid.level - mean))).sum()
    se = float(np.sqrt(second))
    reach = float(ndtri(1.0 - TAIL)) * se
    return Estimate(mean, se, mean - reach, mean + reach)


def _negative(level: Estimate) -> Estimate:
    return Estimate(-level.value, level.se, -level.high, -level.low)


def _from_nodes(value: Floats, weight: Floats) -> Estimate:
    """Mean, standard deviation and interval of what takes these values with these chances.

    Equal values are one, as the distribution between nodes is taken to be even.
    """
    sorted_value, place = np.unique(value, return_inverse=True)
    chance = np.bincount(place.ravel(), weight.ravel())
    mean = float(chance @ sorted_value)
    se = float(np.sqrt(max(0.0, float(chance @ np.square(sorted_value - mean)))))
    below = chance.cumsum() - chance / 2.0
    low, high = np.interp([TAIL, 1.0 - TAIL], below, sorted_value)
    return Estimate(mean, se, float(low), float(high))


def _agreement(grid: _Grid, wine_sd: float) -> Floats:
    """Correlation over wines (spread, noise): what the learner tells apart, over that and noise."""
    told = grid.spread[:, None] * wine_sd
    return np.asarray(told / np.sqrt(np.square(told) + np.square(grid.noise)))


def _repeatability(grid: _Grid) -> Estimate:
    own = np.sqrt(grid.own)[:, None] * grid.noise
    return _from_nodes(own, grid.weight.sum(axis=1))


def _plain(cells: _Cells) -> Estimate | None:
    """Pearson's r of the wines' marks with the reference, Fisher's interval from four wines on."""
    x, y = cells.known.score, cells.mean
    if x.size < FEWEST_WINES or np.ptp(x) == 0.0 or np.ptp(y) == 0.0:
        return None
    r = float(np.clip(np.corrcoef(x, y)[0, 1], -1.0, 1.0))
    if x.size == FEWEST_WINES or abs(r) == 1.0:
        return Estimate(r, float('nan'), -1.0, 1.0)
    reach = float(ndtri(1.0 - TAIL)) / np.sqrt(x.size - 3.0)
    middle = np.arctanh(r)
    low, high = np.tanh([middle - reach, middle + reach])
    return Estimate(r, float((1.0 - r**2) / np.sqrt(x.size - 1.0)), float(low), float(high))
