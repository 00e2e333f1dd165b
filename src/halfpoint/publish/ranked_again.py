"""Places among the wines that are left, when some are not published."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from statistics import median

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.findings import PairFinding, WineFinding
from halfpoint.estimate.ranks import rank_distribution

Floats = NDArray[np.float64]


def ranked_again(
    wines: Sequence[WineFinding], pairs: Sequence[PairFinding], seed: int
) -> tuple[WineFinding, ...]:
    """The wines with places among themselves; without places where not every pair is known.

    Standard errors of all differences say all that ranks need: with V their squares, the
    covariance about the mean is -½ V, centred by rows and columns (Gower 1966, Biometrika 53,
    325-338).
    """
    names = [wine.wine for wine in wines]
    squares = _squares(names, pairs)
    if squares is None:
        return tuple(
            replace(wine, rank_low=None, rank_high=None, rank_probability=(), p_best=None)
            for wine in wines
        )
    centre = np.eye(len(names)) - 1.0 / len(names)
    scores = np.array([wine.adjusted for wine in wines], dtype=np.float64)
    known = [wine.df for wine in wines if wine.df is not None]
    found = rank_distribution(
        scores, -0.5 * centre @ squares @ centre, median(known) if known else math.inf, seed
    )
    return tuple(
        replace(
            wine,
            rank_low=int(found.low[i]),
            rank_high=int(found.high[i]),
            rank_probability=tuple(np.round(found.probability[i], 5).tolist()),
            p_best=float(found.best[i]),
        )
        for i, wine in enumerate(wines)
    )


def _squares(names: Sequence[str], pairs: Sequence[PairFinding]) -> Floats | None:
    """Squared standard errors of all differences, shape (wines, wines); None when one lacks."""
    place = {name: i for i, name in enumerate(names)}
    squares = np.full((len(names), len(names)), np.nan)
    np.fill_diagonal(squares, 0.0)
    for pair in pairs:
        if pair.a in place and pair.b in place and pair.se > 0.0:
            a, b = place[pair.a], place[pair.b]
            squares[a, b] = squares[b, a] = pair.se**2
    return None if len(names) < 2 or np.isnan(squares).any() else squares
