"""Noise and textures that take long to make, made once; chance only chooses the part."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

Image = NDArray[np.uint8]
Signed = NDArray[np.int8]
_SIDE = 1536
TABLES = ('wood', 'dark wood', 'white cloth', 'checked cloth', 'stone', 'white desk')


def with_noise(
    rng: np.random.Generator, image: Image, strength: float, *, soft: float = 0.0
) -> Image:
    """The image with noise of this standard deviation in grey levels."""
    height, width = image.shape
    tile = _noise(soft)
    down, across = rng.integers(0, _SIDE, 2)
    wide = np.tile(np.roll(tile, (-int(down), -int(across)), (0, 1)),
                   (-(-height // _SIDE), -(-width // _SIDE)))[:height, :width]  # fmt: skip
    return np.asarray(
        cv2.addWeighted(image, 1.0, wide, strength / 32, 0, dtype=cv2.CV_8U), np.uint8
    )


def table(rng: np.random.Generator, size: tuple[int, int]) -> Image:
    """A table top of (width, height)."""
    kind = TABLES[rng.integers(len(TABLES))]
    source = _table(kind)
    zoom = rng.uniform(0.55, 1.0)
    side = int(min(source.shape) * zoom)
    top, left = rng.integers(0, source.shape[0] - side + 1, 2)
    part = source[top : top + side, left : left + side]
    if rng.random() < 0.5:
        part = np.ascontiguousarray(part.T)
    full = cv2.resize(part, size, interpolation=cv2.INTER_LINEAR)
    return np.asarray(cv2.convertScaleAbs(full, alpha=rng.uniform(0.75, 1.1)), np.uint8)


@cache
def _noise(soft: float) -> Signed:
    """A tile with standard deviation 32 that repeats at its edges."""
    rng = np.random.default_rng(1536)
    noise = np.pad(rng.normal(0, 1, (_SIDE, _SIDE)).astype(np.float32), 16, mode='wrap')
    if soft:
        noise = np.asarray(cv2.GaussianBlur(noise, (0, 0), soft), np.float32)
    inner = noise[16:-16, 16:-16]
    tile: Signed = np.clip(np.round(inner / inner.std() * 32), -127, 127).astype(np.int8)
    return tile


@cache
def _table(kind: str) -> Image:
    side = 1000
    rng = np.random.default_rng([1000, TABLES.index(kind)])
    noise = rng.normal(0, 1, (side, side)).astype(np.float32)
    cloudy = _cloud(rng, side)
    if kind in {'wood', 'dark wood'}:
        grain = cv2.GaussianBlur(noise, (0, 0), sigmaX=45, sigmaY=1.4)
        rings = np.sin(np.arange(side)[:, None] / 19 + 5 * cloudy)
        base, swing = (150, 14) if kind == 'wood' else (70, 9)
        made = base + swing * grain / grain.std() + swing * 0.5 * rings
    elif kind == 'checked cloth':
        lines = (np.arange(side) // 90) % 2
        made = 215 - 45 * lines[:, None] - 45 * lines[None, :] + 6 * noise
    elif kind == 'stone':
        speckle = cv2.GaussianBlur(noise, (0, 0), 2.5)
        made = 110 + 20 * cloudy + 16 * speckle / speckle.std()
    else:
        weave = 4 * np.sin(np.arange(side) / 2)[None, :] * (kind == 'white cloth')
        made = (222 if kind == 'white cloth' else 236) + 5 * cloudy + weave + 2 * noise
    top: Image = np.clip(made, 0, 255).astype(np.uint8)
    return top


def _cloud(rng: np.random.Generator, side: int) -> NDArray[np.float32]:
    small = rng.normal(0, 1, (9, 9)).astype(np.float32)
    return np.asarray(cv2.resize(small, (side, side), interpolation=cv2.INTER_CUBIC), np.float32)
