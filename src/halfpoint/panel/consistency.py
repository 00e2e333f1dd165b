"""Cronbach's α: how far the categories of a sheet, or the tasters of a panel, go together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import fdtri

from halfpoint.errors import NoVariation, TooFewMarks
from halfpoint.panel.two_way import Floats


@dataclass(frozen=True, slots=True)
class Consistency:
    """α with Feldt's interval; `rows` and `columns` are how many it rests on.

    `without[j]` is the correlation of column j with the sum of the others.
    """

    alpha: float
    low: float
    high: float
    rows: int
    columns: int
    without: tuple[float, ...]


def cronbach(
    marks: Floats,
    *,
    missing: Literal['pairwise', 'listwise'] = 'listwise',
    level: float = 0.95,
) -> Consistency:
    """Cronbach's α of marks, shape (rows, columns): entries by categories, or wines by tasters.

    Marks that are NaN leave out the row (`listwise`) or only the pairs they are in.
    Cronbach (1951), Psychometrika 16, 297-334; interval by Feldt (1965), Psychometrika 30,
    357-370.

    Raises:
        TooFewMarks: fewer than two columns or two rows to go by.
        NoVariation: the sums do not vary.
    """
    used = marks if missing == 'pairwise' else marks[~np.isnan(marks).any(axis=1)]
    if used.ndim != 2 or min(used.shape) < 2:
        raise TooFewMarks(
            f"{used.shape[0]} complete rows of {marks.shape[1]} columns",
            where="Cronbach's alpha",
            expected="at least two of each",
        )
    covariance = _covariance(used)
    alpha = _alpha(covariance)
    rows, columns = used.shape
    df = (rows - 1, (rows - 1) * (columns - 1))
    tail = (1.0 - level) / 2.0
    return Consistency(
        alpha,
        float(1.0 - (1.0 - alpha) * fdtri(*df, 1.0 - tail)),
        float(1.0 - (1.0 - alpha) * fdtri(*df, tail)),
        rows,
        columns,
        _against_the_others(covariance),
    )


def _alpha(covariance: Floats) -> float:
    columns, total = covariance.shape[0], covariance.sum()
    if not total > 1e-12 * np.trace(covariance):
        raise NoVariation("the sums do not vary", where="Cronbach's alpha")
    return float(columns / (columns - 1) * (1.0 - np.trace(covariance) / total))


def _covariance(marks: Floats) -> Floats:
    """Covariances, each over the rows that have both columns."""
    there = ~np.isnan(marks)
    counts = there.T.astype(np.float64) @ there.astype(np.float64)
    if counts.min() < 2:
        raise TooFewMarks(
            "two columns that hardly ever stand together in a row",
            where="Cronbach's alpha",
            expected="at least two rows with both",
        )
    # Near the middle, so that large marks lose no digits.
    near = np.where(there, marks - np.nanmean(marks, axis=0), 0.0)
    sums = near.T @ there
    return np.asarray((near.T @ near - sums * sums.T / counts) / (counts - 1.0))


def _against_the_others(covariance: Floats) -> tuple[float, ...]:
    own = np.diag(covariance)
    with_others = covariance.sum(axis=1) - own
    others = covariance.sum() - 2.0 * covariance.sum(axis=1) + own
    with np.errstate(divide='ignore', invalid='ignore'):
        return tuple(map(float, with_others / np.sqrt(own * others)))
