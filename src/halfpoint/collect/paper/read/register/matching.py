"""Where a printed patch is, near where it should be: normalised correlation, below a pixel."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.scale import COARSE, MARGIN

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Match:
    """How far a patch lies from its place, in millimetres, and how alike it is (-1 to 1)."""

    x: float
    y: float
    shift_x: float
    shift_y: float
    likeness: float


def find_patch(page: Floats, form: Floats, area: Rectangle, reach: float) -> Match | None:
    """Look for a part of the form on the page, up to `reach` millimetres from its place.

    Args:
        page: the straightened page, `COARSE` pixels per millimetre, darkness or grey negated.
        form: the form at the same scale.
        area: the part of the frame, in millimetres.
        reach: how far to look, in millimetres.

    Returns:
        The best place, by fitting a parabola through the peak; None where the patch lies outside
        the image or has nothing printed in it.
    """
    top, bottom = round((area.top + MARGIN) * COARSE), round((area.bottom + MARGIN) * COARSE)
    left, right = round((area.left + MARGIN) * COARSE), round((area.right + MARGIN) * COARSE)
    around = max(1, round(reach * COARSE))
    height, width = form.shape
    if left < 0 or top < 0 or right > width or bottom > height:
        return None
    patch = form[top:bottom, left:right]
    x0, y0 = max(left - around, 0), max(top - around, 0)
    window = page[y0 : bottom + around, x0 : right + around]
    if window.shape[0] < patch.shape[0] or window.shape[1] < patch.shape[1]:
        return None
    scores = np.asarray(cv2.matchTemplate(window, patch, cv2.TM_CCOEFF_NORMED), np.float32)
    _, peak, _, (column, row) = cv2.minMaxLoc(scores)
    if not np.isfinite(peak):
        return None
    shift_x = column + _between(scores[row], column) - (left - x0)
    shift_y = row + _between(scores[:, column], row) - (top - y0)
    return Match(
        x=(area.left + area.right) / 2,
        y=(area.top + area.bottom) / 2,
        shift_x=shift_x / COARSE,
        shift_y=shift_y / COARSE,
        likeness=float(peak),
    )


def _between(scores: Floats, peak: int) -> float:
    """How far the top of a parabola through three scores lies from the middle one."""
    if not 0 < peak < len(scores) - 1:
        return 0.0
    before, at, after = scores[peak - 1 : peak + 2].tolist()
    curve = before - 2 * at + after
    return 0.0 if curve >= 0 else max(-0.5, min(0.5, 0.5 * (before - after) / curve))
