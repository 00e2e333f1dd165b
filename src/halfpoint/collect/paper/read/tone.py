"""How dark each place of a page is, between its own paper and its own black."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Layout
from halfpoint.collect.paper.read.middle import median
from halfpoint.collect.paper.read.scale import FINE, cut

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float32]
# Wider than anything printed or filled but narrower than shadows and stains, in millimetres.
_WIDEST_INK = 7.0
REDUCED = 4
_LEAST_CONTRAST = 0.25


@dataclass(frozen=True, slots=True)
class Tone:
    """`dark` is 0 for paper and 1 for the page's black; `contrast` how far these lie apart.

    `paper` is the grey of the paper at a quarter of the scale.
    """

    dark: Floats
    contrast: float
    paper: Floats


def tone_of(page: Pixels, layout: Layout) -> Tone:
    """Darkness of a straightened page.

    Paper is what a grey closing leaves (J. Serra, Image Analysis and Mathematical Morphology,
    1982) and black that of the side squares and markers, so that uneven light, shadow and toner
    cancel out.

    Args:
        page: grey, `FINE` pixels a millimetre.
        layout: of the page.
    """
    small = cv2.resize(page, None, fx=1 / REDUCED, fy=1 / REDUCED, interpolation=cv2.INTER_AREA)
    side = round(_WIDEST_INK * FINE / REDUCED) | 1
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))
    closed = cv2.morphologyEx(small, cv2.MORPH_CLOSE, kernel)
    paper = cv2.GaussianBlur(closed.astype(np.float32), (0, 0), side / 4)
    paper = np.maximum(paper, 1.0)
    full = cv2.resize(paper, (page.shape[1], page.shape[0]), interpolation=cv2.INTER_LINEAR)
    # In place: these are the largest arrays there are.
    dark = np.asarray(cv2.divide(page, full, dtype=cv2.CV_32F), np.float32)
    contrast = 1 - _black(dark, layout)
    steep = 1 / max(contrast, _LEAST_CONTRAST)
    cv2.addWeighted(dark, -steep, dark, 0, steep, dst=dark)
    return Tone(dark, contrast, np.asarray(paper, np.float32))


def _black(light: Floats, layout: Layout) -> float:
    """The share of the paper's light that the middles of the side squares throw back."""
    middles = (cut(light, area.grown(-area.width / 4), FINE) for area in layout.side_marks)
    return median([median(middle) for middle in middles])
