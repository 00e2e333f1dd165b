"""From clean ink to what a reader gets: light pens, gaps, blur, dirt, remains of the outline."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from handwriting.pen import Ink, Rng


def spoiled(ink: Ink, rng: Rng, harm: float = 1.0) -> Ink:
    """What a scan or photograph makes of it; `harm` 0 leaves it clean, 1 is the usual mix."""
    if harm <= 0:
        return ink
    ink = _gaps(ink, rng) if rng.random() < 0.15 * harm else ink
    ink = _grain(ink, rng) if rng.random() < 0.4 * harm else ink
    ink = ink * np.float32(rng.uniform(0.25, 1.0) if rng.random() < 0.5 else 1.0)
    ink = _neighbour(ink, rng) if rng.random() < 0.10 * harm else ink
    ink = _outline(ink, rng) if rng.random() < 0.25 * harm else ink
    ink = _specks(ink, rng) if rng.random() < 0.15 * harm else ink
    ink = _ghost(ink, rng) if rng.random() < 0.06 * harm else ink
    ink = _scanned(ink, rng)
    return np.clip(ink, 0.0, 1.0).astype(np.float32)


def _gaps(ink: Ink, rng: Rng) -> Ink:
    height, width = ink.shape
    y, x = np.mgrid[:height, :width]
    for _ in range(rng.integers(1, 4)):
        away = (y - rng.uniform(0, height)) ** 2 + (x - rng.uniform(0, width)) ** 2
        ink = ink * (1 - rng.uniform(0.6, 1) * np.exp(-away / (2 * rng.uniform(0.8, 2) ** 2)))
    return ink.astype(np.float32)


def _grain(ink: Ink, rng: Rng) -> Ink:
    grain = _blurred(rng.normal(0, 1, ink.shape), 0.8)
    return np.clip(ink * (1 + rng.uniform(0.2, 1.2) * grain), 0, 1).astype(np.float32)


def _outline(ink: Ink, rng: Rng) -> Ink:
    ink = ink.copy()
    dark = rng.uniform(0.08, 0.5)
    for _ in range(rng.integers(1, 3)):
        side, away = rng.integers(4), int(rng.integers(0, 3))
        length = ink.shape[1 - side % 2]
        first, last = sorted(rng.integers(0, length, 2))
        line = (slice(first, last), slice(away, away + 1))
        place = line if side % 2 == 0 else line[::-1]
        flipped = ink[::-1, ::-1] if side > 1 else ink
        part = flipped[place] if side % 2 else flipped.T[place[::-1]].T
        np.maximum(part, dark, out=part)
    return ink


def _specks(ink: Ink, rng: Rng) -> Ink:
    ink = ink.copy()
    for _ in range(rng.integers(1, 4)):
        place = rng.uniform([0, 0], [ink.shape[1], ink.shape[0]]).astype(int)
        radius = int(rng.integers(0, 2))
        cv2.circle(ink, (int(place[0]), int(place[1])), radius, float(rng.uniform(0.2, 0.9)), -1)
    return ink


def _neighbour(ink: Ink, rng: Rng) -> Ink:
    """The end of a stroke from the next cell."""
    ink = ink.copy()
    height, width = ink.shape
    side = 0 if rng.random() < 0.5 else width - 1
    reach = rng.uniform(1, 6) * (1 if side == 0 else -1)
    y = rng.uniform(0, height)
    ends = [(side, int(y)), (int(side + reach), int(y + rng.normal(0, 4)))]
    cv2.line(ink, ends[0], ends[1], float(max(ink.max(), 0.3)), int(rng.integers(2, 5)))
    return ink


def _ghost(ink: Ink, rng: Rng) -> Ink:
    """An erased or smeared stroke."""
    height, width = ink.shape
    ghost = np.zeros((height, width), np.uint8)
    points = rng.uniform([0, 0], [width, height], (3, 2)).astype(np.int32)
    cv2.polylines(ghost, [points], False, 255, int(rng.integers(2, 6)))
    left = _blurred(ghost, 1.0) / 255 * ink.max() * rng.uniform(0.05, 0.3)
    return np.asarray(np.maximum(ink, left), np.float32)


def _scanned(ink: Ink, rng: Rng) -> Ink:
    height, width = ink.shape
    if rng.random() < 0.4:
        share = rng.uniform(0.5, 0.95)
        small = (max(8, round(width * share)), max(8, round(height * share)))
        coarse = cv2.resize(ink, small, interpolation=cv2.INTER_AREA)
        ink = cv2.resize(coarse, (width, height)).astype(np.float32)
    ink = _blurred(ink, rng.uniform(0.25, 1.1))
    ink = (ink + rng.uniform(0, 0.04) * rng.normal(0, 1, ink.shape)).astype(np.float32)
    return _squeezed(ink, int(rng.integers(30, 85))) if rng.random() < 0.4 else ink


def _squeezed(ink: Ink, quality: int) -> Ink:
    """Kept as JPEG."""
    grey = np.clip(255 - 255 * ink, 0, 255).astype(np.uint8)
    _, kept = cv2.imencode('.jpg', grey, [cv2.IMWRITE_JPEG_QUALITY, quality])
    again = np.asarray(cv2.imdecode(kept, cv2.IMREAD_GRAYSCALE), np.float32)
    return np.float32(1) - again / np.float32(255)


def _blurred(picture: NDArray[Any], by: float) -> Ink:
    return cv2.GaussianBlur(picture, (0, 0), by).astype(np.float32)
