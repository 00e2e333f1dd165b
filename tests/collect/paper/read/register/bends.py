"""Pages that were bent by a known amount and seen in a known perspective."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from tests.collect.paper.read.pages import in_perspective

from halfpoint.collect.paper.print.layout import PAPER_SIZES
from halfpoint.demo.paper import Raster

Grid = NDArray[np.float64]
Pixels = NDArray[np.uint8]
Bend = Callable[[Grid], Grid]
# Middle of the paper, and half of it, in millimetres.
MIDDLE = np.array((105.0, 148.5))


def flat(places: Grid) -> Grid:
    """No bend."""
    return np.zeros_like(places)


def bowed(places: Grid) -> Grid:
    """Lines bow down in the middle of the page."""
    x = (places[..., 0] - MIDDLE[0]) / MIDDLE[0]
    return np.stack([np.zeros_like(x), 1 - x**2], axis=-1)


def leaning(places: Grid) -> Grid:
    """The sides of the page are arcs."""
    y = (places[..., 1] - MIDDLE[1]) / MIDDLE[1]
    return np.stack([1 - y**2, np.zeros_like(y)], axis=-1)


def curled(places: Grid) -> Grid:
    """One corner is curled up, so that all near it moves towards the middle."""
    x, y = (places[..., k] / (2 * MIDDLE[k]) for k in (0, 1))
    up = (x * y) ** 2
    return np.stack([-0.7 * up, -0.7 * up], axis=-1)


def waving(places: Grid) -> Grid:
    """One wave down the page, as paper that was rolled lies."""
    y = np.pi * (places[..., 1] - MIDDLE[1]) / MIDDLE[1]
    return np.stack([0.3 * np.cos(y), np.sin(y)], axis=-1)


def stretched(places: Grid) -> Grid:
    """Fed unevenly: lines are farther apart in the middle than at the ends."""
    y = (places[..., 1] - MIDDLE[1]) / MIDDLE[1]
    return np.stack([np.zeros_like(y), y * (1 - y**2) / 0.385], axis=-1)


BENDS: dict[str, Bend] = {
    each.__name__: each for each in (flat, bowed, leaning, curled, waving, stretched)
}


@dataclass(frozen=True)
class Bent:
    """A picture of a page, with where each place of the frame is in it."""

    picture: Pixels
    raster: Raster
    bend: Bend
    most: float
    matrix: Grid

    def truth(self, frame: Grid) -> Grid:
        """Pixels in the picture of places on the frame; (n, 2) in and out."""
        paper = frame + np.array((self.raster.origin.x, self.raster.origin.y))
        seen = paper.copy()
        # Place `seen` of the bent page shows `seen - bend`: solved by going round.
        for _ in range(60):
            seen = paper + self.most * self.bend(seen)
        return seen_by(self.matrix, seen * scale_of(self.raster.image) - 0.5)

    def off(self, frame: Grid, found: Grid) -> Grid:
        """How far pixels found for places lie from where they are, in millimetres; (n,)."""
        back = np.asarray(np.linalg.inv(self.matrix), float)
        gap = seen_by(back, found) - seen_by(back, self.truth(frame))
        return np.asarray(np.hypot(*(gap / scale_of(self.raster.image)).T))


def scale_of(image: Pixels) -> Grid:
    """Pixels to a millimetre of a page on A4, across and down: pages are drawn on whole pixels."""
    height, width = image.shape
    return np.array((width, height)) / PAPER_SIZES['a4']


def seen_by(matrix: Grid, places: Grid) -> Grid:
    """Places through a homography; (n, 2) in and out."""
    return np.asarray(cv2.perspectiveTransform(places[:, None, :], matrix)[:, 0, :], float)


def bent(raster: Raster, image: Pixels, kind: str, most: float, matrix: Grid | None = None) -> Bent:
    """A page bent by at most so many millimetres, then seen through a homography."""
    bend, seen_through = BENDS[kind], slight(image) if matrix is None else matrix
    height, width = image.shape
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    places = (np.stack([x, y], axis=-1) + 0.5) / scale_of(image)
    source = ((places - most * bend(places)) * scale_of(image) - 0.5).astype(np.float32)
    moved = cv2.remap(
        image, source[..., 0], source[..., 1], cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    size = picture_size(image, seen_through)
    picture = in_perspective(np.asarray(moved, np.uint8), seen_through, size)
    return Bent(picture, raster, bend, most, seen_through)


def picture_size(image: Pixels, matrix: Grid) -> tuple[int, int]:
    """Width and height of a picture that has the whole page in view."""
    height, width = image.shape
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], float)
    right, bottom = seen_by(matrix, corners).max(axis=0) + 30
    return int(right), int(bottom)


def slight(image: Pixels, turn: float = 0.02, tilt: float = 0.05, smaller: float = 0.98) -> Grid:
    """A homography: turned a little (radians), and the far edge shorter by a share."""
    height, width = image.shape
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], float)
    inset = tilt * width / 2
    goal = corners + np.array([(inset, 0), (-inset, 0), (0, 0), (0, 0)])
    c, s = np.cos(turn), np.sin(turn)
    middle = corners.mean(axis=0)
    turned = (goal - middle) @ np.array([(c, s), (-s, c)]) * smaller
    turned += 25 - turned.min(axis=0)
    matrix = cv2.getPerspectiveTransform(corners.astype(np.float32), turned.astype(np.float32))
    return np.asarray(matrix, float)
