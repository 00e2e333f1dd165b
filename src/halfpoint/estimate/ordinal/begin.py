"""Where the search begins: from the fit without random effects to a guess at their spread."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.ordinal.links import Link, cells
from halfpoint.estimate.ordinal.rows import Rows

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

# How much a variance of one draws everything towards zero when it is averaged over:
# (16√3 / 15π)² for the logit (Zeger, Liang and Albert 1988, Biometrics 44, 1049), 1 for probit.
DRAWN: dict[Link, float] = {'logit': 0.346, 'probit': 1.0}
LEAST = 0.2


def spread_slope(rows: Rows, theta: Floats, groups: Codes) -> float:
    """Twice the slope of the log-likelihood by a variance, at zero: Σ (score² − information)."""
    score, information = _by_group(rows, theta, groups)
    return float((score**2 - information).sum())


def first_spread(rows: Rows, theta: Floats, groups: Codes) -> float:
    """A guess at a standard deviation: the moment estimate of DerSimonian and Laird (1986).

    Control. Clin. Trials 7, 177; each group's score over its information is its estimate.
    """
    score, information = _by_group(rows, theta, groups)
    held = information > 1e-8
    score, information = score[held], information[held]
    whole = float(information.sum())
    scatter = float((score**2 / information).sum()) - information.size
    room = whole - float((information**2).sum()) / max(whole, 1e-300)
    averaged = max(scatter / room if room > 0.0 else 0.0, LEAST**2)
    return float(np.sqrt(averaged / max(0.2, 1.0 - DRAWN[rows.link] * averaged)))


def stretched(rows: Rows, theta: Floats, spreads: Floats) -> Floats:
    """θ to begin with: what was averaged over is stretched back, and the spreads follow."""
    stretch = np.sqrt(1.0 + DRAWN[rows.link] * float(spreads @ spreads))
    return np.concatenate([theta * stretch, spreads])


def _by_group(rows: Rows, theta: Floats, groups: Codes) -> tuple[Floats, Floats]:
    at = cells(rows.link, rows.cuts(theta), rows.eta(theta), 2)
    score, information = np.bincount(groups, at.slope), np.bincount(groups, at.weight)
    return np.asarray(score, dtype=np.float64), np.asarray(information, dtype=np.float64)
