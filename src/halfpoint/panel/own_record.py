"""Each taster alone: telling wines apart beyond one's own noise, and agreeing with oneself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import fdtrc

from halfpoint.panel.two_way import Floats

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class OwnRecord:
    """One-way analysis of variance within each taster, arrays (tasters,).

    `f` and `p` say whether a taster tells wines apart beyond the noise of second pours, NaN
    without any; `repeatability` is the standard deviation of a mark given again (ISO 5725-1's
    sense), NaN without second pours; `repeats` its degrees of freedom.
    """

    f: Floats
    p: Floats
    repeatability: Floats
    repeats: Ints
    wines: Ints
    marks: Ints


@dataclass(frozen=True, slots=True)
class Agreement:
    """Each taster's correlation with the mean of the others, arrays (tasters,).

    `r` is as it came out, NaN below three wines or for equal marks; `shrunken` with `low` to
    `high` is drawn towards the panel by how little three or eight wines can say.
    """

    r: Floats
    shrunken: Floats
    low: Floats
    high: Floats
    wines: Ints


def within_taster(mark: Floats, taster: Ints, wine: Ints) -> OwnRecord:
    """Split each taster's marks into wines and repeats.

    Args:
        mark: shape (n,).
        taster: from 0, shape (n,).
        wine: from 0, shape (n,); a wine poured twice stands twice.
    """
    tasters, wines = int(taster.max()) + 1, int(wine.max()) + 1
    cell = taster * wines + wine
    counts = np.bincount(cell, minlength=tasters * wines).reshape(tasters, wines)
    marks = counts.sum(axis=1)
    # About each taster's own mean, so that squares lose no digits.
    near = mark - (np.bincount(taster, mark, tasters) / np.maximum(1, marks))[taster]
    sums = np.bincount(cell, near, tasters * wines).reshape(tasters, wines)
    met = counts > 0
    explained = np.divide(np.square(sums), counts, where=met, out=np.zeros(sums.shape)).sum(axis=1)
    total = np.bincount(taster, np.square(near), tasters)
    within = np.maximum(0.0, total - explained)
    between_df, within_df = met.sum(axis=1) - 1, marks - met.sum(axis=1)
    with np.errstate(divide='ignore', invalid='ignore'):
        variance = np.where(within_df > 0, within / within_df, np.nan)
        f = np.where(between_df > 0, explained / between_df / variance, np.nan)
        p = np.where(np.isnan(f), np.nan, fdtrc(np.maximum(1, between_df), within_df, f))
    return OwnRecord(f, p, np.sqrt(variance), within_df, met.sum(axis=1), marks)


def with_the_others(mark: Floats, taster: Ints, wine: Ints, level_z: float = 1.96) -> Agreement:
    """Correlation over wines of each taster's mean mark with the mean of all others'.

    Fisher's z, whose error is 1/√(wines - 3), is drawn towards the panel's mean by a spread of
    tasters estimated by moments: DerSimonian and Laird (1986), Controlled Clinical Trials 7,
    177-188. Below four wines the error of z is taken as 1.

    Args:
        mark: shape (n,), severity need not be taken out.
        taster: from 0, shape (n,).
        wine: from 0, shape (n,).
        level_z: half width of the intervals in standard errors.
    """
    tasters, wines = int(taster.max()) + 1, int(wine.max()) + 1
    shape = (tasters, wines)
    cell = taster * wines + wine
    counts = np.bincount(cell, minlength=tasters * wines).reshape(shape)
    # Others' means must not depend on which severe tasters happened to meet which wine.
    severity = np.bincount(taster, mark, tasters) / np.maximum(1, np.bincount(taster))
    sums = np.bincount(cell, mark - severity[taster], tasters * wines).reshape(shape)
    rest_count = counts.sum(axis=0) - counts
    both = (counts > 0) & (rest_count > 0)
    with np.errstate(divide='ignore', invalid='ignore'):
        own = np.where(both, sums / counts, np.nan)
        rest = np.where(both, (sums.sum(axis=0) - sums) / rest_count, np.nan)
    r = _correlations(own, rest, both)
    return _drawn_together(r, both.sum(axis=1), level_z)


def _correlations(own: Floats, rest: Floats, both: NDArray[np.bool_]) -> Floats:
    count = np.maximum(1, both.sum(axis=1))[:, None]
    x = np.where(both, own, 0.0)
    y = np.where(both, rest, 0.0)
    x = np.where(both, x - x.sum(axis=1, keepdims=True) / count, 0.0)
    y = np.where(both, y - y.sum(axis=1, keepdims=True) / count, 0.0)
    length = np.sqrt(np.square(x).sum(axis=1) * np.square(y).sum(axis=1))
    with np.errstate(divide='ignore', invalid='ignore'):
        r = (x * y).sum(axis=1) / np.where(length > 1e-12, length, np.nan)
    return np.where(both.sum(axis=1) >= 3, np.clip(r, -1.0, 1.0), np.nan)


def _drawn_together(r: Floats, wines: Ints, level_z: float) -> Agreement:
    z = np.arctanh(np.clip(r, -0.999, 0.999))
    variance = 1.0 / np.maximum(1.0, wines - 3.0)
    told = ~np.isnan(z)
    if not told.any():
        nothing = np.full(r.shape, np.nan)
        return Agreement(r, nothing, nothing, nothing, wines)
    weight = 1.0 / variance[told]
    mean = np.average(z[told], weights=weight)
    excess = weight @ np.square(z[told] - mean) - (told.sum() - 1)
    scale = weight.sum() - np.square(weight).sum() / weight.sum()
    between = max(0.0, excess / scale) if scale > 0 else 0.0
    mean = np.average(z[told], weights=1.0 / (variance[told] + between))
    share = between / (between + variance)
    middle = mean + share * (z - mean)
    reach = level_z * np.sqrt(share * variance)
    return Agreement(r, np.tanh(middle), np.tanh(middle - reach), np.tanh(middle + reach), wines)
