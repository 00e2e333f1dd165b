"""Which wines can be compared: parts of the graph of tasters and wines."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.design import Factor, met_cells


def parts_of(taster: Factor, wine: Factor) -> NDArray[np.int64]:
    """For each wine (p,), the number of the part that it belongs to, in order of wines.

    Two wines are in one part when a chain of tasters who marked both links them.
    """
    met = met_cells(taster, wine)
    who, what = np.divmod(met, wine.size)
    if np.bincount(who).max() == wine.size:
        return np.zeros(wine.size, dtype=np.int64)
    part = np.arange(wine.size)
    while True:
        # Every taster hands the lowest number among the wines marked on to all of them.
        lowest = np.full(taster.size, wine.size)
        np.minimum.at(lowest, who, part[what])
        spread = part.copy()
        np.minimum.at(spread, what, lowest[who])
        # A wine's number is that of another wine of its part, so long chains fold in half.
        spread = spread[spread]
        if (spread == part).all():
            break
        part = spread
    return np.unique(part, return_inverse=True)[1].astype(np.int64)
