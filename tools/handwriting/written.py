"""Real digits: the UCI set that comes with scikit-learn, as rasters and as strokes.

E. Alpaydin, C. Kaynak, "Optical Recognition of Handwritten Digits", UCI Machine Learning
Repository, 1998 (CC BY 4.0). scikit-learn ships its test part: 1,797 digits of 13 writers, 8 × 8,
one writer after another.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from sklearn.datasets import load_digits

from handwriting.strokes import Glyph

# Where a writer begins: each starts with three rounds of 0 to 9. There are 14 such places for 13
# writers, so one of them may have come twice.
BLOCKS = (0, 130, 256, 386, 516, 646, 776, 905, 1029, 1157, 1287, 1415, 1545, 1667, 1797)
TRAINED_ON = slice(0, BLOCKS[9])
CALIBRATED_ON = slice(BLOCKS[9], BLOCKS[11])
HELD_OUT = slice(BLOCKS[11], BLOCKS[14])
LIKENESS = 0.93  # how well strokes must agree with the picture they come from
FINE = 48  # pixels that a digit's height is drawn with


@dataclass(frozen=True, slots=True)
class Written:
    """One real digit: how dark it is (FINE × FINE, 0 to 1, not thresholded), and its strokes."""

    digit: str
    field: NDArray[np.float32]
    glyph: Glyph


def load(part: slice) -> list[Written]:
    """The digits of a part of the set."""
    images, targets = load_digits(return_X_y=True)
    return _written(images[part], targets[part])


def others(path: Path) -> list[Written]:
    """The digits of a file that scikit-learn does not ship: other writers.

    A line is 64 counts and the digit, with commas between them, as UCI has it; lines that begin
    with @ are passed over.
    """
    lines = path.read_text(encoding='utf-8').splitlines()
    rows = {tuple(map(int, line.split(','))) for line in lines if line[:1].isdigit()}
    shipped = {tuple(map(int, image)) for image in load_digits().data}
    fresh = np.array(sorted(row for row in rows if row[:64] not in shipped))
    return _written(fresh[:, :64], fresh[:, 64])


def _written(counts: NDArray[Any], targets: NDArray[Any]) -> list[Written]:
    images = counts.reshape(-1, 8, 8).astype(np.float32) / 16
    fields = np.stack([_fine(image) for image in images])
    thin = thinned(fields > 0.5)
    return [
        Written(str(target), field, _faithful(_strokes(line), image))
        for target, field, line, image in zip(targets, fields, thin, images, strict=True)
    ]


def _faithful(glyph: Glyph, image: NDArray[np.float32]) -> Glyph:
    """The strokes if a pen along them gives back the picture, else none: small loops fill in."""
    best = max(float(_likeness(glyph, image, thick)) for thick in (3, 5, 7, 9))
    return glyph if best > LIKENESS else []


def _likeness(glyph: Glyph, image: NDArray[np.float32], thick: int) -> float:
    canvas = np.zeros((FINE // 8 * 12,) * 2, np.float32)
    paths = [np.round(stroke * FINE * 16).astype(np.int32) for stroke in glyph]
    cv2.polylines(canvas, paths, False, 1.0, thick, cv2.LINE_8, 4)
    again = cv2.resize(canvas, (12, 12), interpolation=cv2.INTER_AREA)
    return float(np.corrcoef(again[2:-2, 2:-2].ravel(), image.ravel())[0, 1])


def _fine(image: NDArray[np.float32]) -> NDArray[np.float32]:
    """Drawn finer by cubic interpolation, which brings back smooth edges from counts."""
    framed = np.pad(image, 2)
    scale = FINE // 8
    drawn = cv2.resize(framed, None, fx=scale, fy=scale, interpolation=cv2.INTER_CUBIC)
    return np.clip(drawn, 0.0, 1.0).astype(np.float32)


def thinned(pictures: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Lines one pixel wide: T. Y. Zhang, C. Y. Suen, Communications of the ACM 27 (1984)."""
    left = pictures.copy()
    while True:
        before = left.sum()
        for first in (True, False):
            left &= ~_removable(left, first)
        if left.sum() == before:
            return left


def _removable(ink: NDArray[np.bool_], first: bool) -> NDArray[np.bool_]:
    framed = np.pad(ink, ((0, 0), (1, 1), (1, 1)))
    height, width = ink.shape[1:]
    ways = ((0, 1), (0, 2), (1, 2), (2, 2), (2, 1), (2, 0), (1, 0), (0, 0))
    ring = [framed[:, y : y + height, x : x + width] for y, x in ways]
    north, east, south, west = ring[0], ring[2], ring[4], ring[6]
    count = sum(each.astype(np.int8) for each in ring)
    turns = sum((~ring[n] & ring[(n + 1) % 8]).astype(np.int8) for n in range(8))
    if first:
        kept = (north & east & south) | (east & south & west)
    else:
        kept = (north & east & west) | (north & south & west)
    result: NDArray[np.bool_] = ink & (count >= 2) & (count <= 6) & (turns == 1) & ~kept
    return result


def _strokes(line: NDArray[np.bool_]) -> Glyph:
    """Every two neighbouring pixels of the line as a stroke, in a box one high."""
    rows, columns = np.nonzero(line)
    points = np.stack([columns, rows], axis=1).astype(np.float64)
    here = {(x, y): n for n, (x, y) in enumerate(zip(columns, rows, strict=True))}
    pairs = []
    for (x, y), n in here.items():
        steps = [(1, 0), (0, 1), (1, 1), (-1, 1)]
        for dx, dy in steps:
            other = here.get((x + dx, y + dy))
            corner = dx and dy and ((x + dx, y) in here or (x, y + dy) in here)
            if other is not None and not corner:
                pairs.append((n, other))
    smooth = _smoothed(points, pairs)
    if not pairs:
        return [np.repeat(points / FINE, 2, axis=0)]
    return [smooth[list(pair)] / FINE for pair in pairs]


def _smoothed(points: NDArray[np.float64], pairs: list[tuple[int, int]]) -> NDArray[np.float64]:
    """Each point moved towards the middle of its neighbours, twice; ends stay."""
    for _ in range(2):
        total, count = np.zeros_like(points), np.zeros(len(points))
        for a, b in pairs:
            total[a] += points[b]
            total[b] += points[a]
            count[[a, b]] += 1
        inner = count == 2
        middle = total[inner] / 2
        points = points.copy()
        points[inner] = 0.5 * points[inner] + 0.5 * middle
    return points
