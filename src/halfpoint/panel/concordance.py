"""Kendall's W: whether tasters put the wines in the same order."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import chdtrc

from halfpoint.errors import NoVariation
from halfpoint.panel.two_way import Floats, check_table


@dataclass(frozen=True, slots=True)
class Concordance:
    """W from 0 (no common order) to 1 (one order), by tasters who marked every wine.

    `chi_square` is Friedman's, on `df` degrees of freedom; `mean_correlation` is the mean of
    Spearman's over all pairs of tasters where none has ties throughout.
    """

    w: float
    chi_square: float
    df: int
    p: float
    wines: int
    tasters: int
    rank_sums: tuple[float, ...]
    mean_correlation: float


def concordance(marks: Floats, *, ties: bool = True) -> Concordance:
    """Kendall's W of marks, shape (wines, tasters); tasters with a mark missing are left out.

    `ties` corrects for equal marks. Kendall and Babington Smith (1939), Annals of Mathematical
    Statistics 10, 275-287; the correction as in Siegel and Castellan (1988), section 9.4.

    Raises:
        TooFewMarks: fewer than two wines, or two tasters who marked them all.
        NoVariation: every taster gave every wine the same mark.
    """
    complete = marks[:, ~np.isnan(marks).any(axis=0)]
    check_table(complete)
    wines, tasters = complete.shape
    ranks = ranked(complete)
    sums = ranks.sum(axis=1)
    pairs = correlations(complete)
    spread = np.square(sums - sums.mean()).sum()
    tied = sum(_tied(column) for column in complete.T) if ties else 0.0
    most = (tasters**2 * (wines**3 - wines) - tasters * tied) / 12.0
    if most <= 0.0:
        raise NoVariation("every taster gave every wine the same mark", where="Kendall's W")
    w = float(spread / most)
    chi_square = tasters * (wines - 1) * w
    return Concordance(
        w=w,
        chi_square=chi_square,
        df=wines - 1,
        p=float(chdtrc(wines - 1, chi_square)),
        wines=wines,
        tasters=tasters,
        rank_sums=tuple(map(float, sums)),
        mean_correlation=float(pairs.mean()) if pairs.size else float('nan'),
    )


def ranked(marks: Floats) -> Floats:
    """Ranks within each column from 1, equal marks sharing the mean of their ranks."""
    return np.stack([_ranks(column) for column in marks.T], axis=1)


def _ranks(column: Floats) -> Floats:
    _, place, counts = np.unique(column, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(counts) - (counts - 1) / 2.0)[place])


def _tied(column: Floats) -> float:
    counts = np.unique(column, return_counts=True)[1].astype(np.float64)
    return float((counts**3 - counts).sum())


def correlations(marks: Floats) -> Floats:
    """Spearman's correlation of every two tasters, shape (pairs,), of complete marks.

    A taster who gave every wine the same mark has none and is left out.
    """
    ranks = ranked(marks)
    centred = ranks - ranks.mean(axis=0)
    length = np.sqrt(np.square(centred).sum(axis=0))
    units = centred[:, length > 0.0] / length[length > 0.0]
    first, second = np.triu_indices(units.shape[1], 1)
    return np.asarray((units.T @ units)[first, second])
