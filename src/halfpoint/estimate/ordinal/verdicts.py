"""Which pairs of wines are told apart, over all pairs at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.findings import PairFinding
from halfpoint.estimate.simultaneous import adjust, draw, enough_draws, over

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

LEVEL = 0.05


@dataclass(frozen=True, slots=True)
class Verdicts:
    """Differences `first` − `second` (m,), degrees of freedom and adjusted p values (m,)."""

    first: Indices
    second: Indices
    difference: Floats
    freedom: Floats
    p: Floats

    @property
    def clear(self) -> NDArray[np.bool_]:
        """Pairs told apart, (m,)."""
        return self.p < LEVEL


def verdicts_from(
    estimates: Floats,
    covariance: Floats,
    freedom: float | Floats,
    seed: int,
    pairs: tuple[Indices, Indices] | None = None,
) -> Verdicts:
    """Verdicts from scores (p,), their covariance (p, p) and degrees of freedom, (m,) or one.

    All pairs are compared unless `pairs` names some.
    """
    first, second = np.triu_indices(estimates.size, 1) if pairs is None else pairs
    own = np.diagonal(covariance)
    variance = own[first] + own[second] - 2.0 * covariance[first, second]
    se = np.sqrt(np.maximum(variance, 0.0))
    difference = estimates[first] - estimates[second]
    df = np.broadcast_to(np.asarray(freedom, dtype=float), se.shape)
    draws = draw(covariance, seed, enough_draws(estimates.size))
    adjusted = adjust(draws, first, second, se, df, over(difference, se))
    return Verdicts(first, second, difference, df, adjusted.p)


def verdicts_said(pairs: tuple[PairFinding, ...], labels: tuple[str, ...]) -> Verdicts:
    """Verdicts that were already said, wines by their place among `labels`."""
    place = {label: i for i, label in enumerate(labels)}
    return Verdicts(
        np.array([place[pair.a] for pair in pairs], dtype=np.intp),
        np.array([place[pair.b] for pair in pairs], dtype=np.intp),
        np.array([pair.difference for pair in pairs]),
        np.array([np.inf if pair.df is None else pair.df for pair in pairs]),
        np.array([pair.p_adjusted for pair in pairs]),
    )
