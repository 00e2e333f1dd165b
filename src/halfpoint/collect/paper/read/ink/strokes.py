"""The strokes on a page: connected ink above what is printed."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.form_image import FormImage
from halfpoint.collect.paper.read.scale import COARSE, MARGIN

Floats = NDArray[np.float32]
Labels = NDArray[np.int32]
# Square millimetres of one pixel of the stroke map.
PIXEL = 1 / COARSE**2
# The print is taken so much wider than it is, in millimetres, because pages never lie quite flat.
_WIDER = 0.3
# The lightest ink that is taken for a stroke: a share of this page's pen, and never below.
_SHARE, _LEAST, _MOST = 0.3, 0.07, 0.25
_SPECK = 3


@dataclass(frozen=True, slots=True)
class Inked:
    """Pixels with ink: where they are, in millimetres of the frame, and of which strokes; (n,)."""

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    numbers: Labels


@dataclass(frozen=True, slots=True)
class Strokes:
    """`labels` numbers the strokes from 1 (0: no ink), `COARSE` pixels a millimetre.

    `boxes` has left, top, right and bottom of each stroke in millimetres of the frame, and
    `areas` its size in square millimetres; number 0 is all that is no stroke.
    """

    labels: Labels
    boxes: NDArray[np.float64]
    areas: NDArray[np.float64]

    def within(self, area: Rectangle) -> Labels:
        """The part of the map that shows an area of the frame."""
        left, top = (max(0, round((edge + MARGIN) * COARSE)) for edge in (area.left, area.top))
        right, bottom = (round((edge + MARGIN) * COARSE) for edge in (area.right, area.bottom))
        return self.labels[top:bottom, left:right]

    def inked(self, area: Rectangle) -> Inked:
        """The inked pixels of an area of the frame."""
        left = max(0, round((area.left + MARGIN) * COARSE))
        top = max(0, round((area.top + MARGIN) * COARSE))
        labels = self.within(area)
        rows, columns = np.nonzero(labels)
        return Inked(
            x=(columns + left + 0.5) / COARSE - MARGIN,
            y=(rows + top + 0.5) / COARSE - MARGIN,
            numbers=labels[rows, columns],
        )


def strokes_of(dark: Floats, form: FormImage, *, printed: float, pen: float) -> Strokes:
    """Find the strokes of a page.

    Args:
        dark: darkness of the page, `COARSE` pixels a millimetre.
        form: the form.
        printed: how dark this page prints what the form says.
        pen: how dark its pen draws.
    """
    size = 2 * round(_WIDER * COARSE) + 1
    wide = cv2.dilate(form.coarse, np.ones((size, size), np.uint8))
    over = dark - max(printed, 0.5) * 1.15 * wide
    least = min(max(_SHARE * pen, _LEAST), _MOST)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(
        (over > least).astype(np.uint8), connectivity=8
    )
    del count
    areas = stats[:, cv2.CC_STAT_AREA].astype(float)
    specks = areas < _SPECK
    specks[0] = False
    if specks.any():
        labels = np.where(specks[labels], 0, labels)
    left, top = stats[:, cv2.CC_STAT_LEFT], stats[:, cv2.CC_STAT_TOP]
    right, bottom = left + stats[:, cv2.CC_STAT_WIDTH], top + stats[:, cv2.CC_STAT_HEIGHT]
    boxes = np.stack([left, top, right, bottom], axis=1) / COARSE - MARGIN
    return Strokes(np.asarray(labels, np.int32), boxes, areas * PIXEL)
