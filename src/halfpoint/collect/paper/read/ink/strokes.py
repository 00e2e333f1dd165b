"""The strokes on a page: connected ink above what is printed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.form_image import FormImage
from halfpoint.collect.paper.read.middle import median
from halfpoint.collect.paper.read.scale import COARSE, MARGIN, cut

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
        return cut(self.labels, area, COARSE)

    def inked(self, area: Rectangle) -> Inked:
        """The inked pixels of an area of the frame."""
        left = max(0, round((area.left + MARGIN) * COARSE))
        top = max(0, round((area.top + MARGIN) * COARSE))
        labels = self.within(area)
        # Of one axis and of booleans: ten times as fast as numpy's way with two axes of numbers.
        rows, columns = np.divmod(np.flatnonzero(labels.ravel() != 0), max(labels.shape[1], 1))
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
    # In place where it can be: fresh memory for large arrays costs more than the sums.
    printing = _printing_of(form)
    over = (max(printed, 0.5) * 1.15) * printing.pale
    np.subtract(dark, over, out=over)
    np.subtract(over, printing.black, out=over)
    least, weak = _limits(_noise(over, printing), pen)
    # Grana's way gives the same numbers as the usual one in a third of the time.
    _, labels, stats, _ = cv2.connectedComponentsWithStatsWithAlgorithm(
        (over > weak).view(np.uint8), 8, cv2.CV_32S, cv2.CCL_GRANA
    )
    strong = np.bincount(labels[over > least], minlength=len(stats)) >= _SPECK
    strong[0] = True
    areas = stats[:, cv2.CC_STAT_AREA].astype(float)
    labels = _only(np.asarray(labels, np.int32), strong)
    left, top = stats[:, cv2.CC_STAT_LEFT], stats[:, cv2.CC_STAT_TOP]
    right, bottom = left + stats[:, cv2.CC_STAT_WIDTH], top + stats[:, cv2.CC_STAT_HEIGHT]
    boxes = np.stack([left, top, right, bottom], axis=1) / COARSE - MARGIN
    return Strokes(labels, over, least, boxes, areas * PIXEL)


def _limits(noise: Floats, pen: float) -> tuple[Floats, Floats]:
    """How dark a stroke must be at each place, and what hangs together with it."""
    least = _NOISES * noise
    np.maximum(least, max(_SHARE * pen, _LEAST), out=least)
    np.minimum(least, _MOST, out=least)
    weak = _WEAK * least
    noise *= _WEAK_NOISES
    np.maximum(weak, noise, out=weak)
    np.minimum(weak, least, out=weak)
    return least, weak


def _only(labels: Labels, strong: NDArray[np.bool_]) -> Labels:
    """The map with the strong strokes alone, in place."""
    inked = np.flatnonzero(labels.ravel() != 0)
    numbers = labels.ravel()[inked]
    labels.ravel()[inked] = np.where(strong[numbers], numbers, 0)
    return labels


@dataclass(frozen=True, slots=True)
class _Printing:
    """The darkest that a form may be printed, where it lies not quite flat, and where it is bare.

    `pale` is the form widened; `black` is added at words in black and what surrounds them, so that
    they are left out.  `bare` is 1 where nothing is printed; `plain` are numbers of such pixels, of
    the map in one row, and `share` how much of each window is bare.
    """

    pale: Floats
    black: Floats
    bare: Floats
    plain: NDArray[np.intp]
    share: Floats


@lru_cache(maxsize=8)
def _printing_of(form: FormImage) -> _Printing:
    size = 2 * round(_WIDER * COARSE) + 1
    wide = np.asarray(cv2.dilate(form.coarse, np.ones((size, size), np.uint8)), np.float32)
    wider = np.asarray(cv2.dilate(wide, np.ones((size, size), np.uint8)), np.float32)
    black = np.asarray(_BLACK_SLOPE * np.maximum(wider - _PALE, 0), np.float32)
    bare = (wide < 0.01).astype(np.float32)
    some = np.zeros_like(bare)
    some[::3, ::3] = bare[::3, ::3]
    return _Printing(
        wide, black, bare, np.flatnonzero(some), np.maximum(_in_windows(bare), np.float32(0.02))
    )


def _in_windows(image: Floats) -> Floats:
    size = (image.shape[1] // 8, image.shape[0] // 8)
    small = cv2.resize(image, size, interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.blur(small, (_WINDOW, _WINDOW)), np.float32)


def _noise(over: Floats, printing: _Printing) -> Floats:
    """The standard deviation of bare paper around each place: shadows are noisier than light."""
    plain = over.ravel()[printing.plain]
    middle = median(plain)
    usual = 1.4826 * median(np.abs(plain - middle))
    squares = over - np.float32(middle)
    np.multiply(squares, squares, out=squares)
    np.minimum(squares, np.float32((3 * usual) ** 2), out=squares)
    np.multiply(squares, printing.bare, out=squares)
    local = np.sqrt(np.maximum(_in_windows(squares) / printing.share, 0))
    return np.asarray(cv2.resize(local, over.shape[::-1]), np.float32)
