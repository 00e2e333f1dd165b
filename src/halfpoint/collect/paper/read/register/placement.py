"""Where each place of the frame lies in the picture, and the picture laid flat by it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import FRAME_HEIGHT, FRAME_WIDTH
from halfpoint.collect.paper.read.register.field import Field
from halfpoint.collect.paper.read.scale import FINE, MARGIN

Array = NDArray[np.float64]
Pixels = NDArray[np.uint8]
# Nodes of the bend, in pixels of the fine image: one a millimetre.
_NODE = round(FINE)
COLUMNS = round((FRAME_WIDTH + 2 * MARGIN) * FINE) // _NODE
ROWS = round((FRAME_HEIGHT + 2 * MARGIN) * FINE) // _NODE


@dataclass(frozen=True, slots=True)
class Placement:
    """From the frame to the picture: bent by `bend`, then by the 3 × 3 `matrix` to pixels.

    `bend` is a displacement in millimetres at the middle of every square millimetre of the image,
    margin included; (rows, columns, 2).
    """

    matrix: Array
    bend: Array

    def bent(self, more: Array) -> Placement:
        """The same with a further displacement, found on the image that this one lays flat."""
        return replace(self, bend=self.bend + more)


def flat(matrix: Array) -> Placement:
    """A placement without bend."""
    return Placement(matrix, np.zeros((ROWS, COLUMNS, 2)))


@cache
def nodes() -> Array:
    """Where the bend is told: the middle of every square millimetre; (rows, columns, 2)."""
    x = np.arange(COLUMNS) + 0.5 - MARGIN
    y = np.arange(ROWS) + 0.5 - MARGIN
    return np.stack(np.meshgrid(x, y), axis=-1)


def bend_of(field: Field) -> Array:
    """A smooth field told at the nodes."""
    return field.over(nodes()[0, :, 0], nodes()[:, 0, 1])


def to_picture(matrix: Array, places: Array) -> Array:
    """Places of the frame in pixels of the picture; (..., 2) in and out."""
    lifted = places @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(lifted[..., :2] / lifted[..., 2:])


def lay_flat(picture: Pixels, placement: Placement, scale: float) -> Pixels:
    """The frame with its margin at so many pixels a millimetre; outside the picture is white."""
    places = cv2.perspectiveTransform(nodes() + placement.bend, placement.matrix)
    size = (round(COLUMNS * scale), round(ROWS * scale))
    x, y = (
        cv2.resize(np.array(places[..., axis], np.float32), size, interpolation=cv2.INTER_LINEAR)
        for axis in (0, 1)
    )
    return np.asarray(
        cv2.remap(picture, x, y, cv2.INTER_LINEAR, None, cv2.BORDER_CONSTANT, 255), np.uint8
    )


def cut_flat(
    picture: Pixels, matrix: Array, centre: tuple[float, float], half: float, scale: float
) -> Pixels:
    """A square of the frame around a place, `half` millimetres each way, without any bend."""
    left, top = centre[0] - half, centre[1] - half
    # Pixel (0, 0) of the cut is the middle of its first pixel.
    to_frame = np.array(
        [[1 / scale, 0, left + 0.5 / scale], [0, 1 / scale, top + 0.5 / scale], [0, 0, 1]]
    )
    side = round(2 * half * scale)
    return np.asarray(
        cv2.warpPerspective(
            picture,
            matrix @ to_frame,
            (side, side),
            flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=(255,),
        ),
        np.uint8,
    )
