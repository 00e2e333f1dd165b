"""Which wines can be compared: parts of the graph of tasters and wines."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from halfpoint.estimate.design import Factor, met_cells


def parts_of(taster: Factor, wine: Factor) -> NDArray[np.int64]:
    """For each wine (p,), the number of the part that it belongs to, in order of wines.

    Two wines are in one part when a chain of tasters who marked both links them.
    """
    met = met_cells(taster, wine)
    who, what = np.divmod(met, wine.size)
    if np.bincount(who).max() == wine.size:
        return np.zeros(wine.size, dtype=np.int64)
    members = sparse.csr_array((np.ones(met.size), (who, what)), shape=(taster.size, wine.size))
    together = sparse.csr_array(members.T @ members)
    _, labels = connected_components(together, directed=False)
    _, first = np.unique(labels, return_index=True)
    order = np.empty(first.size, dtype=np.int64)
    order[np.argsort(first)] = np.arange(first.size)
    return np.asarray(order[labels])
