"""The finish of each wine: the middle of the seconds, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import bdtr

from halfpoint.aroma.ticks import Floats


@dataclass(frozen=True, slots=True)
class Median:
    """Median of seconds; its interval is None below six of them (at 95 %)."""

    median: float | None
    low: float | None
    high: float | None
    count: int


def median_interval(seconds: Floats, level: float = 0.95) -> Median:
    """Median with the exact interval between order statistics, whatever the distribution.

    The narrowest pair of order statistics, one from each end, that holds the median with at
    least this chance: Conover (1999), Practical Nonparametric Statistics, section 3.2.

    Args:
        seconds: shape (entries,), NaN left out.
        level: least chance that the interval holds the median.
    """
    told = np.sort(seconds[~np.isnan(seconds)])
    count = len(told)
    if count == 0:
        return Median(None, None, None, 0)
    below = bdtr(np.arange(count, dtype=np.float64), count, 0.5)
    out = int((below <= (1.0 - level) / 2.0).sum())
    if out == 0:
        return Median(float(np.median(told)), None, None, count)
    return Median(float(np.median(told)), float(told[out - 1]), float(told[count - out]), count)
