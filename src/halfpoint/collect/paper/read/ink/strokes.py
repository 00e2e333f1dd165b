"""The strokes on a page: connected ink above what is printed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

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
# Strokes may be so much lighter where they hang together with darker ink; and both must stand out
# from the noise by so many of its standard deviations.
_WEAK, _NOISES, _WEAK_NOISES = 0.6, 4.5, 3.2
_SPECK = 3
# Circles and their numbers are printed paler than this; what is darker is words.
_PALE, _BLACK_SLOPE = 0.46, 4.0
# Noise is looked at in windows of this many eighths of the map's pixels: 20 mm.
_WINDOW = 10


@dataclass(frozen=True, slots=True)
class Inked:
    """Pixels with ink: where they are, in millimetres of the frame, and of which strokes; (n,)."""

    x: NDArray[np.floating]
    y: NDArray[np.floating]
    numbers: Labels


@dataclass(frozen=True, slots=True)
class Strokes:
    """`labels` numbers the strokes from 1 (0: no ink), `COARSE` pixels a millimetre.

    `boxes` has left, top, right and bottom of each stroke in millimetres of the frame, and
    `areas` its size in square millimetres; number 0 is all that is no stroke.  `over` is how much
    darker the page is than its printing, and `least` what that must be for a stroke.
    """

    labels: Labels
    over: Floats
    least: Floats
    boxes: NDArray[np.float64]
    areas: NDArray[np.float64]

    def least_at(self, x: float, y: float) -> float:
        """How dark a stroke must be at a place of the frame."""
        column, row = (int((place + MARGIN) * COARSE) for place in (x, y))
        return float(self.least[row, column])

    def within(self, area: Rectangle) -> Labels:
        """The part of the map that shows an area of the frame."""
        return self.cut(self.labels, area)

    @staticmethod
    def cut(image: NDArray[Any], area: Rectangle) -> NDArray[Any]:
        """The part of an image of the map's scale that shows an area of the frame."""
        left, top = (max(0, round((edge + MARGIN) * COARSE)) for edge in (area.left, area.top))
        right, bottom = (round((edge + MARGIN) * COARSE) for edge in (area.right, area.bottom))
        return image[top:bottom, left:right]

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
    wide = np.asarray(cv2.dilate(form.coarse, np.ones((size, size), np.uint8)), np.float32)
    wider = np.asarray(cv2.dilate(wide, np.ones((size, size), np.uint8)), np.float32)
    over = dark - _most_printed(wide, wider, printed)
    noise = _noise(over, wide)
    least = np.clip(np.maximum(max(_SHARE * pen, _LEAST), _NOISES * noise), None, _MOST)
    weak = np.minimum(np.maximum(_WEAK * least, _WEAK_NOISES * noise), least)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(
        (over > weak).astype(np.uint8), connectivity=8
    )
    strong = np.bincount(labels[over > least], minlength=len(stats)) >= _SPECK
    strong[0] = True
    areas = stats[:, cv2.CC_STAT_AREA].astype(float)
    labels = np.where(strong[labels], labels, 0)
    left, top = stats[:, cv2.CC_STAT_LEFT], stats[:, cv2.CC_STAT_TOP]
    right, bottom = left + stats[:, cv2.CC_STAT_WIDTH], top + stats[:, cv2.CC_STAT_HEIGHT]
    boxes = np.stack([left, top, right, bottom], axis=1) / COARSE - MARGIN
    return Strokes(np.asarray(labels, np.int32), over, least, boxes, areas * PIXEL)


def _most_printed(wide: Floats, wider: Floats, printed: float) -> Floats:
    """The darkest that printing may be; words in black, and what surrounds them, are left out."""
    pale = max(printed, 0.5) * 1.15 * wide
    return np.asarray(pale + _BLACK_SLOPE * np.maximum(wider - _PALE, 0), np.float32)


def _noise(over: Floats, wide: Floats) -> Floats:
    """The standard deviation of bare paper around each place: shadows are noisier than light."""
    bare = (wide < 0.01).astype(np.float32)
    plain = over[::3, ::3][bare[::3, ::3] > 0]
    middle = float(np.median(plain))
    usual = 1.4826 * float(np.median(np.abs(plain - middle)))
    squares = np.minimum((over - middle) ** 2, (3 * usual) ** 2) * bare
    size = (over.shape[1] // 8, over.shape[0] // 8)
    above, below = (
        cv2.resize(each, size, interpolation=cv2.INTER_AREA) for each in (squares, bare)
    )
    window = (_WINDOW, _WINDOW)
    squared = cv2.blur(above, window) / np.maximum(cv2.blur(below, window), 0.02)
    local = np.sqrt(np.maximum(squared, 0))
    return np.asarray(cv2.resize(local, over.shape[::-1]), np.float32)
