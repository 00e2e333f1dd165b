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
    wines, count = draws.half.shape
    scale = draws.scale(df)
    counted = _compared if wines <= COMPARED else _sorted
    counts = np.zeros((wines, wines))
    length = max(1, SLICE // wines)
    for start in range(0, count, length):
        piece = slice(start, start + length)
        counts += counted(estimates, draws.half[:, piece] * scale[piece])
    probability = counts / (2 * count)
    cumulated = np.cumsum(probability, axis=1)
    low = np.argmax(cumulated >= TAIL - 1e-12, axis=1) + 1
    high = np.argmax(cumulated >= 1.0 - TAIL - 1e-12, axis=1) + 1
    return RankDistribution(probability, low, high, probability[:, 0])


def _compared(estimates: Floats, drawn: Floats) -> Floats:
    """How often each wine (p,) took each place (p, p), from comparing wines two by two.

    Counted over the draws (p, m) around the estimates, and their negatives. Wines further apart
    than any draw reaches are left in the order of their scores.
    """
    order = np.argsort(-estimates, kind='stable')
    drawn, ahead = drawn[order], estimates[order]
    wines, draws = drawn.shape
    reach = float((drawn.max(axis=0) - drawn.min(axis=0)).max())
    gap = ahead[:, None] - ahead
    first, second = np.nonzero(np.triu(gap <= reach, 1))
    # Small numbers, as adding them up takes most of the time; each draw and its negative.
    place = np.repeat(np.arange(wines, dtype=np.int8), 2 * draws).reshape(wines, 2, draws)
    passes, apart = np.empty((2, draws), dtype=np.bool_), np.empty(draws)
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        np.subtract(drawn[j], drawn[i], out=apart)
        np.greater(apart, gap[i, j], out=passes[0])
        np.less(apart, -gap[i, j], out=passes[1])
        place[i] += passes.view(np.int8)
        place[j] -= passes.view(np.int8)
    best = np.arange(wines) - np.bincount(second, minlength=wines)
    worst = np.arange(wines) + np.bincount(first, minlength=wines)
    counts = np.zeros((wines, wines))
    for i, wine in enumerate(order.tolist()):
        for at in range(int(best[i]), int(worst[i]) + 1):
            counts[wine, at] = np.count_nonzero(place[i] == at)
    return counts


def _sorted(estimates: Floats, drawn: Floats) -> Floats:
    """How often each wine (p,) took each place (p, p), from sorting every draw."""
    wines = estimates.size
    rows = np.ascontiguousarray(drawn.T)
    counts = np.zeros((wines, wines))
    for scores in (estimates + rows, estimates - rows):
        order = np.argsort(-scores, axis=1)
        places = np.empty(scores.shape, dtype=np.int64)
        np.put_along_axis(places, order, np.arange(wines)[None, :], axis=1)
        counts += [np.bincount(each, minlength=wines) for each in places.T]
    return counts


def even_ranks(wines: int) -> RankDistribution:
    """Every place as likely for every wine: wines that the marks do not tell apart at all."""
    low, high = max(1, math.ceil(TAIL * wines)), math.ceil((1.0 - TAIL) * wines)
    return RankDistribution(
        np.full((wines, wines), 1.0 / wines),
        np.full(wines, low),
        np.full(wines, high),
        np.full(wines, 1.0 / wines),
    )
