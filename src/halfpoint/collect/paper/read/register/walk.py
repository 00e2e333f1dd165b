"""From the markers that were seen down the sides of the page, square by square.

Two markers fix the page only near them; each square that is found carries the fit further.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Layout, Rectangle
from halfpoint.collect.paper.read.register.placement import cut_flat, to_picture

Array = NDArray[np.float64]
Pixels = NDArray[np.uint8]
_SCALE = 4.0
_HALF = 7.0
_LIKE = 0.75
_FEWEST_FOR_PERSPECTIVE = 12


@dataclass(frozen=True, slots=True)
class Walked:
    """The `matrix` from frame to picture, how many `squares` were found, and what does not fit.

    `places` (n, 2) are corners of markers and middles of squares on the frame, `shifts` (n, 2) how
    far from there the matrix would have to put them; millimetres.
    """

    matrix: Array
    squares: int
    places: Array
    shifts: Array


def walk(picture: Pixels, frame: Array, seen: Array, layout: Layout) -> Walked:
    """Find the side squares, one after another, and fit the page to all that was found.

    Args:
        picture: grey pixels.
        frame: corners of the markers seen, (n, 2) millimetres of the frame, two markers or more.
        seen: the same corners in pixels of the picture.
        layout: of the page.
    """
    matrix = _fitted(frame, seen, 0)
    known = [tuple(place) for place in frame]
    found = 0
    for area in _nearest_first(layout.side_marks, known):
        centre = ((area.left + area.right) / 2, (area.top + area.bottom) / 2)
        shift = _square_near(picture, matrix, centre, area.width)
        if shift is None:
            continue
        place = np.array([[centre[0] + shift[0], centre[1] + shift[1]]])
        frame = np.vstack([frame, [centre]])
        seen = np.vstack([seen, to_picture(matrix, place)])
        found += 1
        matrix = _fitted(frame, seen, found)
    back = to_picture(np.asarray(np.linalg.inv(matrix), float), seen)
    return Walked(matrix, found, frame, back - frame)


def _nearest_first(marks: tuple[Rectangle, ...], known: list[tuple[float, ...]]) -> list[Rectangle]:
    def away(area: Rectangle) -> float:
        x, y = (area.left + area.right) / 2, (area.top + area.bottom) / 2
        return min(math.hypot(x - place[0], y - place[1]) for place in known)

    return sorted(marks, key=away)


def _square_near(
    picture: Pixels, matrix: Array, centre: tuple[float, float], side: float
) -> tuple[float, float] | None:
    """How far a solid square lies from its place, in millimetres; None when there is none."""
    cut = cut_flat(picture, matrix, centre, _HALF, _SCALE)
    black, rim = round(side * _SCALE), 4
    patch = np.pad(np.zeros((black, black), np.uint8), rim, constant_values=255)
    scores = cv2.matchTemplate(cut, patch, cv2.TM_CCOEFF_NORMED)
    _, peak, _, (column, row) = cv2.minMaxLoc(scores)
    if peak < _LIKE:
        return None
    middle = (scores.shape[0] - 1) / 2
    return (column - middle) / _SCALE, (row - middle) / _SCALE


def _fitted(frame: Array, seen: Array, squares: int) -> Array:
    """A homography where the points bear one, else an affine map."""
    if len(frame) >= _FEWEST_FOR_PERSPECTIVE or _spread_out(frame, squares):
        matrix, _ = cv2.findHomography(frame, seen, 0)
        if matrix is not None:
            return np.asarray(matrix, float)
    lifted = np.hstack([frame, np.ones((len(frame), 1))])
    affine, *_ = np.linalg.lstsq(lifted, seen, rcond=None)
    return np.vstack([affine.T, [0, 0, 1]])


def _spread_out(frame: Array, squares: int) -> bool:
    """Two markers across from each other and some squares span the page both ways."""
    return squares >= 3 and float(np.ptp(frame[:, 0])) > 100 and float(np.ptp(frame[:, 1])) > 100
