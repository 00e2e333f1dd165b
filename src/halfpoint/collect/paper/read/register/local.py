"""What a smooth bend leaves over: the mean of what nearby pieces still say."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.register.field import Fitted
from halfpoint.collect.paper.read.register.matching import Match
from halfpoint.collect.paper.read.register.placement import nodes

Array = NDArray[np.float64]
# Pieces this far away, in millimetres, count e^-½ as much as those at the place itself; so much
# weight of no shift at all keeps places without pieces where they are.
_WIDE, _TALL, _STILL = 16.0, 7.0, 0.5


def left_over(matches: Sequence[Match], fitted: Fitted) -> Array:
    """A further displacement at the nodes, (rows, columns, 2) millimetres.

    Nadaraya and Watson's kernel mean of the residuals, wider along lines than across them because
    the lines of the form are what could be mistaken for each other.
    """
    places = nodes()
    x = np.array([match.x for match in matches])
    y = np.array([match.y for match in matches])
    weight = fitted.weight
    across = np.exp(-(((places[0, :, 0, None] - x) / _WIDE) ** 2) / 2)
    down = np.exp(-(((places[:, 0, 1, None] - y) / _TALL) ** 2) / 2)
    total = down @ (across * weight).T + _STILL
    moved = [down @ (across * weight * fitted.left[:, axis]).T / total for axis in (0, 1)]
    return np.stack(moved, axis=-1)
