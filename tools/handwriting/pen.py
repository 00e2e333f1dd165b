"""A pen on a cell, and what scanning, age and other people do to it."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from handwriting.strokes import Glyph, curve

Ink = NDArray[np.float32]
Rng = np.random.Generator

WIDTH, HEIGHTS = 40, (52, 44)
_FINER = 4  # drawn so much larger, then averaged down
_SHIFT = 4  # bits that OpenCV takes as parts of a pixel


def moved(glyph: Glyph, rng: Rng, tilt: float = 1.0) -> Glyph:
    """Bent, slanted, turned and stretched as hands do; about the middle, one high."""
    points = np.vstack(glyph)
    low, high = points.min(axis=0), points.max(axis=0)
    middle, size = (low + high) / 2, max(float(np.max(high - low)), 1e-3)
    bend = rng.normal(0.0, 0.045, (2, 2))
    turn, phase = rng.uniform(2, 6, (2, 2)), rng.uniform(0, 6.3, (2, 2))
    matrix = affine(rng, tilt)
    result = []
    for stroke in glyph:
        at = (stroke - middle) / size
        for axis in (0, 1):
            waves = np.sin(at * turn[axis] + phase[axis]) @ bend[axis]
            at = at + np.eye(2)[axis] * waves[:, None]
        result.append(at @ matrix.T)
    return result


def affine(rng: Rng, tilt: float = 1.0) -> NDArray[np.float64]:
    """Turn, slant and stretch of one hand."""
    angle = np.deg2rad(rng.normal(0.0, 7.0)) * tilt
    slant = float(np.clip(rng.normal(-0.1, 0.2), -0.6, 0.45)) * tilt
    stretch = np.exp(rng.normal(0.0, 0.18))
    turned = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    matrix: NDArray[np.float64] = turned @ np.array([[stretch, slant], [0.0, 1.0]])
    return matrix


def placed(glyph: Glyph, box: tuple[float, float, float, float], rng: Rng) -> Glyph:
    """Made as large as the box (left, top, right, bottom) allows, somewhere inside it."""
    points = np.vstack(glyph)
    low, high = points.min(axis=0), points.max(axis=0)
    room = np.array([box[2] - box[0], box[3] - box[1]])
    scale = float(np.min(room / np.maximum(high - low, 1e-3)))
    free = room - scale * (high - low)
    start = np.array(box[:2]) + free * rng.uniform(0.0, 1.0, 2)
    return [start + (stroke - low) * scale for stroke in glyph]


def some_box(height: int, rng: Rng, least: float = 0.42) -> tuple[float, float, float, float]:
    """Where in a cell a hand writes: most of its height, seldom a little beyond it."""
    tall = height * rng.uniform(least, 0.96)
    top = rng.uniform(-0.01 * height, height * 1.01 - tall)
    left, right = rng.uniform(-1.0, 8.0), WIDTH - rng.uniform(-1.0, 8.0)
    return left, top, right, top + tall


def drawn(glyph: Glyph, height: int, width_of_pen: float) -> Ink:
    """The strokes as ink."""
    canvas = np.zeros((height * _FINER, WIDTH * _FINER), np.uint8)
    thick = max(1, round(width_of_pen * _FINER))
    paths = [
        np.round(np.clip(stroke, -200, 200) * _FINER * 2**_SHIFT).astype(np.int32)
        for stroke in glyph
    ]
    cv2.polylines(canvas, paths, False, 255, thick, cv2.LINE_AA, _SHIFT)
    return _smaller(canvas.astype(np.float32) / 255)


def stamped(field: Ink, height: int, rng: Rng) -> Ink:
    """A digit given as a field of darkness, cut at some level, as thick as it was written."""
    cut = (field > rng.uniform(0.34, 0.62)).astype(np.float32)
    rows, columns = np.nonzero(cut)
    if not rows.size:
        return np.zeros((height, WIDTH), np.float32)
    corners = np.array(
        [[x, y] for x in (columns.min(), columns.max() + 1) for y in (rows.min(), rows.max() + 1)],
        np.float64,
    )
    matrix = affine(rng)
    at = placed([corners @ matrix.T], some_box(height, rng), rng)[0] * _FINER
    whole = cv2.getAffineTransform(corners[:3].astype(np.float32), at[:3].astype(np.float32))
    canvas = cv2.warpAffine(cut, whole, (WIDTH * _FINER, height * _FINER), flags=cv2.INTER_LINEAR)
    return _smaller((canvas > 0.5).astype(np.float32))


def _smaller(canvas: NDArray[Any]) -> Ink:
    size = (canvas.shape[1] // _FINER, canvas.shape[0] // _FINER)
    return cv2.resize(canvas, size, interpolation=cv2.INTER_AREA).astype(np.float32)


def pen_width(rng: Rng) -> float:
    """Pixels of 1/8 mm: a fine liner to a felt pen, mostly ball pens."""
    return float(np.clip(rng.lognormal(np.log(3.6), 0.3), 1.8, 7.5))


def scribble(height: int, rng: Rng, strokes: int) -> Glyph:
    """Strokes that mean nothing."""
    result = []
    for _ in range(strokes):
        count = rng.integers(2, 7)
        start = rng.uniform([2, 2], [WIDTH - 2, height - 2])
        path = start + np.cumsum(rng.normal(0.0, rng.uniform(4, 14), (count, 2)), axis=0)
        result.append(curve(path) if count > 2 else path)
    return result


def crossing_out(height: int, rng: Rng) -> Glyph:
    """Lines over what was written."""
    kind = rng.integers(4)
    left, right = rng.uniform(-2, 7), WIDTH - rng.uniform(-2, 7)
    if kind == 0:  # one or two lines across
        return [
            np.array([[left, height * rng.uniform(0.3, 0.7)],
                      [right, height * rng.uniform(0.3, 0.7)]])
            for _ in range(rng.integers(1, 4))
        ]  # fmt: skip
    if kind == 1:  # a slanted cross
        top, bottom = height * rng.uniform(0, 0.25), height * rng.uniform(0.75, 1)
        return [np.array([[left, top], [right, bottom]]), np.array([[left, bottom], [right, top]])]
    count = int(rng.integers(5, 14))  # to and fro
    along = np.linspace(left, right, count)
    reach = rng.uniform(0.15, 0.45) * height
    swing = height / 2 + reach * np.where(np.arange(count) % 2, 1, -1) * rng.uniform(0.7, 1, count)
    points = np.stack([along, swing], axis=1)
    if kind == 2:
        points = points[:, ::-1] * [WIDTH / height, height / WIDTH]
    return [points + rng.normal(0, 1, points.shape)]
