"""How many pixels are set in each of many areas of the frame, all at once."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.scale import COARSE, MARGIN

Array = NDArray[np.float64]
Edges = NDArray[np.intp]


def edges_of(areas: Array, shape: tuple[int, ...]) -> Edges:
    """Left, top, right and bottom of areas in pixels, from millimetres of the frame; (areas, 4).

    Args:
        areas: left, top, right and bottom of each.
        shape: of the image of the page, `COARSE` pixels a millimetre.
    """
    edges = np.rint((areas + MARGIN) * COARSE)
    height, width = shape
    return np.clip(edges, 0, (width, height, width, height)).astype(np.intp)


def counted(pixels: NDArray[np.bool_], edges: Edges) -> NDArray[np.int32]:
    """The pixels set in each area, by sums over all that lies above and to the left; (areas,)."""
    sums = np.asarray(cv2.integral(pixels.view(np.uint8)), np.int32)
    left, top, right, bottom = edges.T
    above = sums[top, right] - sums[top, left]
    return np.asarray(sums[bottom, right] - sums[bottom, left] - above, np.int32)
