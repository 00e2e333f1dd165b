"""What the network sees of a shape: where its edges run which way, and where its ink lies.

Edges in eight directions, blurred and sampled on a coarse grid, are the usual description of a
handwritten digit: C.-L. Liu et al., "Handwritten digit recognition: benchmarking of
state-of-the-art techniques", Pattern Recognition 36 (2003), section 3 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from halfpoint.collect.paper.read.digits.shape import SIDE, Floats, Shape

DIRECTIONS, GRID, INK_GRID = 8, 5, 10
TRAITS = DIRECTIONS * GRID**2 + INK_GRID**2 + 6


def traits(shapes: Sequence[Shape]) -> Floats:
    """One row of TRAITS numbers for each shape."""
    if not shapes:
        return np.zeros((0, TRAITS), np.float32)
    rasters = np.stack([shape.raster for shape in shapes])
    measures = np.array([shape.measures for shape in shapes], np.float32)
    ink = rasters.reshape(len(shapes), -1) @ _INK
    return np.hstack([_edges(rasters), ink, measures])


def _edges(rasters: Floats) -> Floats:
    framed = np.pad(rasters, ((0, 0), (1, 1), (1, 1)))
    across = framed[:, 1:-1, 2:] - framed[:, 1:-1, :-2]
    down = framed[:, 2:, 1:-1] - framed[:, :-2, 1:-1]
    steep = np.sqrt(across**2 + down**2) + np.float32(1e-6)
    along = _WAYS @ np.stack([across, down]).reshape(2, -1)
    strength = np.maximum(along, 0.0) ** 2 / steep.ravel()
    pooled = np.sqrt(strength.reshape(-1, SIDE**2) @ _COARSE)
    by_shape = pooled.reshape(DIRECTIONS, len(rasters), -1).transpose(1, 0, 2)
    return np.ascontiguousarray(by_shape).reshape(len(rasters), -1)


def _windows(count: int) -> Floats:
    """How much of each pixel (rows) goes into each of `count` × `count` bell-shaped windows."""
    pitch = SIDE / count
    middles = (np.arange(count) + 0.5) * pitch - 0.5
    away = (np.arange(SIDE) - middles[:, None]) / (0.5 * pitch)
    bell = np.exp(-0.5 * away**2)
    share = bell / bell.sum(axis=1, keepdims=True)
    return np.kron(share, share).T.astype(np.float32)


_COARSE, _INK = _windows(GRID), _windows(INK_GRID)
_TURNS = 2 * np.pi * np.arange(DIRECTIONS) / DIRECTIONS
_WAYS = np.stack([np.cos(_TURNS), np.sin(_TURNS)], axis=1).astype(np.float32)
