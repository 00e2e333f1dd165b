"""The shape of the ink in a cell: a small upright raster, whatever the pen, slant and size.

Slant and size are taken off by the moments and the extent of the ink, as in Y. LeCun et al.,
"Gradient-based learning applied to document recognition", Proceedings of the IEEE 86 (1998),
section III, for the digits of NIST (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

SIDE = 20  # the raster, of which the ink fills
FILLED = 16
# Ink below this is paper; the darkest pixels of a light pencil are above it. Ink above the second
# is no grain of the paper.
FAINTEST, _PLAIN = 0.10, 0.45
# Shares of a cell's darkest ink between which a pixel turns from paper to pen.
_FLOOR, _FULL = 0.30, 0.80
_DARKEST_PIXELS = 12
# Ink beyond these shares of the whole does not widen the box: specks, ends of strokes.
_TRIM = 0.01
_STEEPEST = 0.7  # the largest slant taken off, sideways per unit of height
_LARGEST = 104  # pixels; a larger picture is averaged down to fewer
_SMALLEST = 0.28  # of the cell's height: smaller ink is not drawn larger, so that a dot stays one


@dataclass(frozen=True, slots=True)
class Shape:
    """`raster` is SIDE × SIDE, 0 to 1; `measures` are height, width, place, mass, slant, peak.

    Height, width and place (of the middle, from the top) are shares of the cell; `mass` the share
    of it that is inked.
    """

    raster: Floats
    measures: tuple[float, float, float, float, float, float]


def shape_of(ink: NDArray[Any]) -> Shape | None:
    """The shape of a cell's ink, None where there is none.

    `ink` has two axes, 0 for paper to 1 for full ink; what is not finite counts as paper.
    """
    ink = _prepared(ink)
    if ink.size == 0:
        return None
    peak = _darkest(ink)
    if peak < FAINTEST or (peak < _PLAIN and _darkest(_evened(ink)) < FAINTEST):
        return None
    pen = np.clip((ink / peak - _FLOOR) / (_FULL - _FLOOR), 0.0, 1.0)
    return _drawn(pen, peak)


def _darkest(ink: Floats) -> float:
    return float(np.sort(ink, axis=None)[-_DARKEST_PIXELS:].mean())


def _evened(ink: Floats) -> Floats:
    """Each pixel the mean of the nine around it: grain goes, strokes stay."""
    framed = np.pad(ink, 1)
    rows = framed[:-2] + framed[1:-1] + framed[2:]
    mean: Floats = (rows[:, :-2] + rows[:, 1:-1] + rows[:, 2:]) / np.float32(9)
    return mean


def _prepared(ink: NDArray[Any]) -> Floats:
    flat = np.nan_to_num(np.atleast_2d(ink).astype(np.float32), nan=0, posinf=0, neginf=0)
    step = -(-max(flat.shape) // _LARGEST)
    if step > 1:
        rows, columns = (length // step * step for length in flat.shape)
        if not rows * columns:
            return flat[::step, ::step].clip(0.0, 1.0)
        flat = flat[:rows, :columns].reshape(rows // step, step, columns // step, step)
        flat = flat.mean(axis=(1, 3))
    return flat.clip(0.0, 1.0)


def _drawn(pen: Floats, peak: float) -> Shape:
    rows, columns = np.nonzero(pen)
    weight = pen[rows, columns]
    height, width = pen.shape
    mass = float(weight.sum())
    middle_y = float(rows @ weight) / mass
    middle_x = float(columns @ weight) / mass
    y, x = rows - middle_y, columns - middle_x
    slant = float((x * y) @ weight) / (float((y * y) @ weight) + mass)
    slant = float(np.clip(slant, -_STEEPEST, _STEEPEST))
    x = x - slant * y
    top, bottom = _extent(y, weight)
    left, right = _extent(x, weight)
    scale = FILLED / max(bottom - top, right - left, _SMALLEST * height, 1.0)
    raster = _splat(
        (y - (top + bottom) / 2) * scale + (SIDE - 1) / 2,
        (x - (left + right) / 2) * scale + (SIDE - 1) / 2,
        weight * np.float32(min(scale, 1.0) ** 2),
    )
    measures = (
        (bottom - top) / height,
        (right - left) / width,
        (middle_y + (top + bottom) / 2) / height,
        mass / (height * width),
        slant,
        peak,
    )
    return Shape(raster, measures)


def _extent(place: NDArray[Any], weight: Floats) -> tuple[float, float]:
    """Between which places all of the ink but the trimmed ends lies."""
    lowest = int(np.floor(place.min()))
    by_place = np.bincount(np.rint(place).astype(np.intp) - lowest, weights=weight)
    share = np.cumsum(by_place) / by_place.sum()
    first, last = np.searchsorted(share, [_TRIM, 1 - _TRIM])
    return float(lowest + first) - 0.5, float(lowest + last) + 0.5


def _splat(y: NDArray[Any], x: NDArray[Any], weight: NDArray[Any]) -> Floats:
    """Each pixel spread over the four of the raster that it falls between."""
    wide = SIDE + 2
    y, x = np.clip(y + 1, 0, SIDE + 0.999), np.clip(x + 1, 0, SIDE + 0.999)
    row, column = y.astype(np.intp), x.astype(np.intp)
    down, right = y - row, x - column
    place = row * wide + column
    raster = np.zeros(wide * wide)
    for step, part in (
        (0, (1 - down) * (1 - right)),
        (1, (1 - down) * right),
        (wide, down * (1 - right)),
        (wide + 1, down * right),
    ):
        raster += np.bincount(place + step, weights=part * weight, minlength=wide * wide)
    inside = raster.reshape(wide, wide)[1:-1, 1:-1]
    return np.minimum(inside, 1.0).astype(np.float32)
