"""All pairs at once: adjusted p values and intervals that hold together (max-|t|).

The differences' t statistics are jointly multivariate t; the distribution of the largest
|t| is drawn, seeded.  It equals Tukey's studentised range in balanced tastings.
Reference: Hothorn, Bretz and Westfall (2008), Biometrical Journal 50, 346.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtr, chdtri, gammaincinv, ndtri, stdtr, stdtrit

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

# Differences drawn in all: draws times pairs.
WORK = 6_000_000
MOST_DRAWS = 100_000
LEAST_DRAWS = 6_000
# Slices of probability in which the chi-square is drawn, each at its middle.
STRATA = 2_000
# With fewer draws beyond a statistic than this, what was drawn is an upper bound only.
ENOUGH = 200
# Log p values of a single t between which those of the largest are interpolated.
LEVELS = np.log(np.concatenate([np.linspace(1.0, 0.06, 60), np.geomspace(0.05, 1e-7, 40)]))
# Slices into which the drawn largest differences are summed up.
SUMMARY = 1_000
# Points between which the distribution of chi is a straight line to some millionths.
KNOWN = 2_000


@dataclass(frozen=True, slots=True)
class Draws:
    """Seeded draws from the joint distribution of the scores around their estimates.

    `half` (p, m), a row a wine, has the scores' covariance; the other half are its negatives, so
    that the mean is zero. `stratum` (m,) says which of `STRATA` equal slices of probability the
    common chi-square of a draw and its negative falls into.
    """

    half: Floats
    stratum: NDArray[np.int64]

    def scale(self, df: float) -> Floats:
        """Factors (m,) that turn the normal draws into t draws with `df` degrees."""
        if not np.isfinite(df):
            return np.ones(self.stratum.size)
        middles = (np.arange(STRATA) + 0.5) / STRATA
        return np.asarray(np.sqrt(df / chdtri(df, middles))[self.stratum])


def draw(covariance: Floats, seed: int, count: int) -> Draws:
    """`count` draws from N(0, covariance), antithetic in pairs, from a seed."""
    values, vectors = np.linalg.eigh(covariance)
    # The symmetric root, which rounding moves no more than it moves the covariance; of equally
    # sure scores it turns the vectors themselves anywhere.
    root = (vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T
    standard, stratum = _standard(seed, count // 2, covariance.shape[0])
    return Draws(root @ standard, stratum)


@lru_cache(maxsize=1)
def _standard(seed: int, count: int, wines: int) -> tuple[Floats, NDArray[np.int64]]:
    """Standard normal draws (wines, count) and slices: the same for every kind of mark."""
    rng = np.random.default_rng(seed)
    drawn = np.ascontiguousarray(rng.standard_normal((count, wines)).T)
    return drawn, rng.integers(STRATA, size=count)


def enough_draws(wines: int) -> int:
    """How many draws the number of wines allows."""
    pairs = max(1, wines * (wines - 1) // 2)
    return int(np.clip(WORK // pairs, LEAST_DRAWS, MOST_DRAWS)) // 2 * 2


def two_sided(t: Floats, df: Floats) -> Floats:
    """Two-sided p values of t statistics with their own degrees of freedom (may be infinite)."""
    return np.asarray(2.0 * stdtr(np.minimum(df, 1e12), -np.abs(t)))


def over(difference: Floats, se: Floats) -> Floats:
    """The t statistics; zero where the standard error is, as when all wines are taken as alike."""
    return np.divide(difference, se, out=np.zeros_like(difference), where=se > 0.0)


def quantile(probability: float | Floats, df: Floats) -> Floats:
    """Quantiles of t, normal where the degrees of freedom are infinite."""
    finite = np.minimum(df, 1e12)
    return np.where(np.isfinite(df), stdtrit(finite, probability), ndtri(probability))


@dataclass(frozen=True, slots=True)
class Adjusted:
    """p values (m,) adjusted for all pairs, and the critical |t| (m,) of joint intervals."""

    p: Floats
    critical: Floats


def adjust(
    draws: Draws, first: Indices, second: Indices, se: Floats, df: Floats, t: Floats
) -> Adjusted:
    """Max-|t| adjustment of pairwise differences with their own Satterthwaite df.

    Args:
        draws: of the scores.
        first: (m,) one wine of each pair.
        second: (m,) the other.
        se: (m,) standard error of each difference.
        df: (m,) its degrees of freedom.
        t: (m,) its t statistic.
    """
    single = two_sided(t, df)
    if t.size < 2:
        return Adjusted(single, quantile(0.975, df))
    # A draw and its negative have the same largest difference.
    drawn, share = _from_draws(_largest(draws.half, first, second, se), single, df)
    # Too few draws tell one small figure from another, but not that they are small.
    drawn = np.maximum(drawn, ENOUGH / draws.half.shape[1])
    adjusted = np.minimum(drawn, np.minimum(1.0, t.size * single))
    share = np.maximum(share, 0.05 / t.size)
    return Adjusted(np.maximum(adjusted, single), quantile(1.0 - share / 2.0, df))


def _from_draws(largest: Floats, single: Floats, df: Floats) -> tuple[Floats, Floats]:
    """Adjusted p of single p values (m,), and the single p (m,) that is 0.05 adjusted."""
    grid = _grid(df)
    middles = _summary(largest)
    joint = np.array([_joint(middles, nu) for nu in grid])
    level = np.array([np.interp(np.log(0.05), row[::-1], LEVELS[::-1]) for row in joint])
    position = np.where(np.isfinite(df), 1.0 / df, 0.0)
    logs = np.log(np.maximum(single, 1e-300))
    along = np.array([np.interp(logs, LEVELS[::-1], row[::-1]) for row in joint])
    share = np.tile(level[:, None], single.size)
    return np.exp(_interpolate(grid, along, position)), np.exp(_interpolate(grid, share, position))


def _summary(largest: Floats) -> Floats:
    """The middles of equal slices of the draws: as good as all of them, and quicker."""
    # Sorting all is quicker than NumPy's own quantiles, where there are a thousand.
    place = (np.arange(SUMMARY) + 0.5) / SUMMARY * (largest.size - 1)
    return np.interp(place, np.arange(largest.size), np.sort(largest))


def _joint(largest: Floats, nu: float) -> Floats:
    """Log probability that the largest |t| passes the t whose own log p value is in LEVELS.

    `nu` is 1/df.  Over the chi-square that all t share, the probability is exact.
    """
    df = 1.0 / max(nu, 1e-6)
    t = np.maximum(-stdtrit(df, np.exp(LEVELS) / 2.0), 1e-6)
    # Outside of these the probability is 0 or 1 to rounding.
    low = math.sqrt(2.0 * gammaincinv(df / 2.0, 1e-20) / df)
    high = math.sqrt(chdtri(df, 1e-17) / df)
    known = np.linspace(low, high, KNOWN)
    at = largest / t[:, None]
    beyond = (at >= high).astype(np.float64)
    between = (at > low) & (at < high)
    beyond[between] = np.interp(at[between], known, chdtr(df, df * known**2))
    return np.asarray(np.log(np.maximum(beyond.mean(axis=1), 1e-12)))


def _largest(half: Floats, first: Indices, second: Indices, se: Floats) -> Floats:
    largest, apart = np.zeros((2, half.shape[1]))
    for i, j, scale in zip(first.tolist(), second.tolist(), se.tolist(), strict=True):
        if scale > 0.0:
            np.subtract(half[i], half[j], out=apart)
            np.multiply(apart, 1.0 / scale, out=apart)
            np.abs(apart, out=apart)
            np.maximum(largest, apart, out=largest)
    return np.asarray(largest)


def _grid(df: Floats) -> Floats:
    """Values of 1/df between which the pairs' own values are interpolated."""
    inverse = np.where(np.isfinite(df), 1.0 / df, 0.0)
    low, high = float(inverse.min()), float(inverse.max())
    if high - low < 1e-5:
        return np.array([(low + high) / 2.0])
    return np.linspace(low, high, 3)


def _interpolate(grid: Floats, values: Floats, position: Floats) -> Floats:
    if grid.size == 1:
        return np.asarray(values[0])
    span = (position - grid[0]) / (grid[1] - grid[0])
    at = np.clip(span.astype(int), 0, grid.size - 2)
    share = span - at
    columns = np.arange(values.shape[1])
    return np.asarray(values[at, columns] * (1 - share) + values[at + 1, columns] * share)
