"""A taster's habit over the years: what one year's figure adds to those before it.

A habit h (severity, spread, log noise) of year k differs from the panel's way μ by an
autoregression of order 1 that keeps a share κ a year,

    h_k - μ = κ^g (h_j - μ) + drift,   variance of the drift (1 - κ^2g) σ²,

g years after year j, with σ the standard deviation between tasters. A year's figure is drawn
towards the panel already; what the marks alone say is got back from it before it is used, so
that the panel is counted once. This is the Kalman filter of a scalar.
Reference: Durbin and Koopman (2012), Time Series Analysis by State Space Methods, section 4.3.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt

import numpy as np

# A figure that is no surer than the panel alone says nothing of the taster.
NOTHING = 1e-9
# Before anybody came again, 0.8 of a habit is expected to be there a year later: Beta(4, 1), as
# sure as four would be; common practice, no source.
SHARES = np.linspace(0.005, 0.995, 100)
EXPECTED = 4.0


@dataclass(frozen=True, slots=True)
class Figure:
    """One year's figure of a habit, drawn towards the panel, and the panel's of that year.

    `value` with standard error `se`; tasters of the panel lie about `mean` with `sd`; `year` may
    have parts.
    """

    year: float
    value: float
    se: float
    mean: float
    sd: float


@dataclass(frozen=True, slots=True)
class Normal:
    """A mean with its standard deviation."""

    mean: float
    sd: float


def ahead(figures: Sequence[Figure], year: float, panel: Normal, kept: float) -> Normal:
    """What earlier years say of a habit in `year`, before its first mark.

    Args:
        figures: earlier ones, in order of years; may be none.
        year: the one to come.
        panel: how tasters of that year's panel lie.
        kept: the share of a habit that is there a year later.
    """
    now: Normal | None = None
    before = 0.0
    for figure in figures:
        here = Normal(figure.mean, figure.sd)
        expected = here if now is None else _drifted(now, here, figure.year - before, kept)
        now, before = updated(expected, figure), figure.year
    return panel if now is None else _drifted(now, panel, year - before, kept)


def updated(expected: Normal, figure: Figure) -> Normal:
    """The figure as it is when `expected` takes the place of the panel.

    Precisions add, and that of the panel is taken out of the figure first.
    """
    alone = _alone(figure)
    if alone is None:
        return expected
    own = 1.0 / alone.sd**2
    precision = own + 1.0 / expected.sd**2
    mean = (own * alone.mean + expected.mean / expected.sd**2) / precision
    return Normal(mean, 1.0 / sqrt(precision))


def share_kept(members: Sequence[Sequence[Figure]]) -> float:
    """The share of a habit that is there a year later, from members who came again.

    The posterior mean over a grid; the likelihood is that of the filter's steps.

    Args:
        members: the figures of each, in order of years.
    """
    again = [figures for figures in members if len(figures) > 1]
    logs = np.array([
        (EXPECTED - 1.0) * log(share) + sum(_likelihood(figures, share) for figures in again)
        for share in SHARES.tolist()
    ])  # fmt: skip
    weight = np.exp(logs - logs.max())
    return float(weight @ SHARES / weight.sum())


def _likelihood(figures: Sequence[Figure], kept: float) -> float:
    """Log likelihood of a member's years, each given those before it."""
    total, before = 0.0, figures[0].year
    now = Normal(figures[0].mean, figures[0].sd)
    for figure in figures:
        expected = _drifted(now, Normal(figure.mean, figure.sd), figure.year - before, kept)
        alone = _alone(figure)
        if alone is not None:
            variance = expected.sd**2 + alone.sd**2
            total -= 0.5 * ((alone.mean - expected.mean) ** 2 / variance + log(variance))
        now, before = updated(expected, figure), figure.year
    return total


def _alone(figure: Figure) -> Normal | None:
    """What the marks say without the panel; None for nothing."""
    own = 1.0 / figure.se**2 - 1.0 / figure.sd**2
    if own <= NOTHING / figure.sd**2:
        return None
    away = (figure.value - figure.mean) / (figure.se**2 * own)
    return Normal(figure.mean + away, 1.0 / sqrt(own))


def _drifted(now: Normal, panel: Normal, years: float, kept: float) -> Normal:
    share = kept ** max(years, 0.0)
    variance = share**2 * now.sd**2 + (1.0 - share**2) * panel.sd**2
    return Normal(panel.mean + share * (now.mean - panel.mean), sqrt(variance))
