"""How sure each place is: probabilities of ranks from the joint distribution of the scores.

References: Goldstein and Spiegelhalter (1996), J. R. Statist. Soc. A 159, 385; Marshall and
Spiegelhalter (1998), BMJ 316, 1701.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.simultaneous import Draws, draw, enough_draws

Floats = NDArray[np.float64]

# A 90 % interval leaves this much on each side.
TAIL = 0.05
# So many numbers at once stay in the processor's own memory.
SLICE = 200_000
# Up to so many wines, comparing every two columns is quicker than sorting every row.
COMPARED = 24


@dataclass(frozen=True, slots=True)
class RankDistribution:
    """Places of p wines, 1 the highest score.

    `probability` (p, p) is by wine and place; `low` and `high` (p,) bound the central 90 %
    of places; `best` (p,) is the probability of the first place.
    """

    probability: Floats
    low: NDArray[np.int64]
    high: NDArray[np.int64]
    best: Floats


def rank_distribution(
    estimates: Floats,
    covariance: Floats,
    df: float = np.inf,
    seed: int = 0,
    draws: int | None = None,
) -> RankDistribution:
    """Rank probabilities of scores (p,) with covariance (p, p), t with `df` degrees."""
    count = enough_draws(estimates.size) if draws is None else draws
    return ranks_from(draw(covariance, seed, count), estimates, df)


def ranks_from(draws: Draws, estimates: Floats, df: float) -> RankDistribution:
    """Rank probabilities from draws already made."""
    wines = estimates.size
    scale = draws.scale(df)
    counts = np.zeros((wines, wines))
    rows = max(1, SLICE // wines)
    for start in range(0, scale.size, rows):
        piece = draws.half[start : start + rows] * scale[start : start + rows, None]
        for scores in (estimates + piece, estimates - piece):
            counts += [np.bincount(each, minlength=wines) for each in _places(scores)]
    probability = counts / (2 * scale.size)
    cumulated = np.cumsum(probability, axis=1)
    low = np.argmax(cumulated >= TAIL - 1e-12, axis=1) + 1
    high = np.argmax(cumulated >= 1.0 - TAIL - 1e-12, axis=1) + 1
    return RankDistribution(probability, low, high, probability[:, 0])


def _places(scores: Floats) -> NDArray[np.integer]:
    """Place from 0 of each wine in each row of scores (m, p), as (p, m)."""
    draws, wines = scores.shape
    if wines > COMPARED:
        places = np.empty((draws, wines), dtype=np.int64)
        order = np.argsort(-scores, axis=1)
        np.put_along_axis(places, order, np.arange(wines)[None, :], axis=1)
        return places.T
    columns = np.ascontiguousarray(scores.T)
    # Small numbers, as adding them up takes most of the time; all before are ahead at first.
    ahead = np.repeat(np.arange(wines, dtype=np.int8)[:, None], draws, axis=1)
    for i in range(wines):
        for j in range(i):
            wins = (columns[i] > columns[j]).view(np.int8)
            ahead[j] += wins
            ahead[i] -= wins
    return ahead


def even_ranks(wines: int) -> RankDistribution:
    """Every place as likely for every wine: wines that the marks do not tell apart at all."""
    low, high = max(1, math.ceil(TAIL * wines)), math.ceil((1.0 - TAIL) * wines)
    return RankDistribution(
        np.full((wines, wines), 1.0 / wines),
        np.full(wines, low),
        np.full(wines, high),
        np.full(wines, 1.0 / wines),
    )
