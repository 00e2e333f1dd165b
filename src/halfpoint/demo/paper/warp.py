"""Pixels from one place to another by a map that is worked out coarsely and drawn finely."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

Grid = NDArray[np.float64]
Image = NDArray[np.uint8]
Where = Callable[[Grid, Grid], tuple[Grid, Grid]]


def coarse(size: tuple[int, int], cell: int) -> tuple[Grid, Grid]:
    """Middles of cells over an image of (width, height), one more cell around: x and y."""
    width, height = size
    across = (np.arange(-1, -(-width // cell) + 1) + 0.5) * cell - 0.5
    down = (np.arange(-1, -(-height // cell) + 1) + 0.5) * cell - 0.5
    x, y = np.meshgrid(across, down)
    return x, y


def finely(values: Grid, size: tuple[int, int], cell: int) -> NDArray[np.float32]:
    """What `coarse` places have, between them as well, for an image of (width, height)."""
    rows, columns = values.shape
    full = cv2.resize(
        values.astype(np.float32), (columns * cell, rows * cell), interpolation=cv2.INTER_LINEAR
    )
    width, height = size
    return np.asarray(full[cell : cell + height, cell : cell + width], np.float32)


def warped(source: Image, where: Where, size: tuple[int, int], cell: int = 16) -> Image:
    """An image of (width, height) whose pixels are fetched where `where` says, in `source`."""
    x, y = where(*coarse(size, cell))
    return np.asarray(
        cv2.remap(
            source, finely(x, size, cell), finely(y, size, cell),
            cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE,
        ),
        np.uint8,
    )  # fmt: skip


def shaded(image: Image, gain: Grid, cell: int) -> Image:
    """The image brightened or darkened by a gain at `coarse` places, at most 2."""
    height, width = image.shape
    levels = np.clip(gain * 127, 0, 255).astype(np.uint8)
    rows, columns = levels.shape
    full = cv2.resize(levels, (columns * cell, rows * cell), interpolation=cv2.INTER_LINEAR)
    part = full[cell : cell + height, cell : cell + width]
    return np.asarray(cv2.multiply(image, part, scale=1 / 127), np.uint8)


def reduced(image: Image, scale: float, wanted: float) -> tuple[Image, float]:
    """The image averaged down when it is much finer than wanted; its new scale."""
    if scale < 1.45 * wanted:
        return image, scale
    share = 1.15 * wanted / scale
    height, width = image.shape
    size = (round(width * share), round(height * share))
    return np.asarray(cv2.resize(image, size, interpolation=cv2.INTER_AREA), np.uint8), (
        scale * size[0] / width
    )
