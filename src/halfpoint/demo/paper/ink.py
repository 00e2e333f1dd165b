"""Ink on paper: lines of a pen multiplied into the printed page, patch by patch."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Point
from halfpoint.demo.paper.curves import Line
from halfpoint.demo.paper.writer import Pen

Float32 = NDArray[np.float32]
Owner = tuple[str, ...]
# Lines are drawn so many times as fine as the page, and averaged.
_FINER = 2
_SHIFT = 4
_TILE = 1024
_POINTS_A_CHUNK = 7


class Ink:
    """A page being written on; remembers whose lines went where."""

    def __init__(
        self, printed: NDArray[np.uint8], scale: float, origin: Point, rng: np.random.Generator
    ) -> None:
        self.page = printed.copy()
        self.traces: list[tuple[Owner, Line]] = []
        self._printed = printed
        self._scale = scale
        self._origin = np.array((origin.x, origin.y))
        self._rng = rng
        self._tooth = rng.integers(0, _TILE, 2)

    def draw(self, lines: Sequence[Line], pen: Pen, owner: Owner, *, press: float = 1.0) -> None:
        """Draw lines (n, 2) in millimetres of the frame; `press` 1 is usual."""
        self.traces += [(owner, line) for line in lines]
        wide = pen.width * (0.8 + 0.2 * press)
        patch = self._patch(np.concatenate(lines), wide + 0.4)
        if patch is None:
            return
        rows, columns = patch
        layers = [
            np.zeros(((rows.stop - rows.start) * _FINER, (columns.stop - columns.start) * _FINER),
                     np.uint8)
            for _ in range(2)
        ]  # fmt: skip
        corner = np.array((columns.start, rows.start), float)
        for line in lines:
            self._stroke(layers, ((line + self._origin) * self._scale - corner), pen, wide, press)
        bare = np.ones((rows.stop - rows.start, columns.stop - columns.start), np.float32)
        for layer in layers:
            bare *= 1 - self._cover(layer, rows, columns, pen)
        shown = 1 - (1 - bare) * (1 - pen.grey)
        self.page[rows, columns] = cv2.multiply(self.page[rows, columns], shown, dtype=cv2.CV_8U)

    def rub_out(self, at: tuple[float, float], radius: float, keep: float) -> None:
        """Erase a round place; `keep` of the ink stays, smeared."""
        centre = np.array(at)
        patch = self._patch(np.stack((centre - radius, centre + radius)), 1.5)
        if patch is None:
            return
        rows, columns = patch
        y, x = np.mgrid[rows, columns]
        cx, cy = (centre + self._origin) * self._scale
        reach = np.hypot(x - cx, (y - cy) * 1.15) / (radius * self._scale)
        rubbed = np.clip((1.25 - reach) * 4, 0, 1).astype(np.float32)
        printed = self._printed[rows, columns].astype(np.float32)
        ink = printed - self.page[rows, columns]
        smear = cv2.GaussianBlur(ink, (0, 0), 0.35 * self._scale)
        uneven = 0.5 + self._teeth(rows, columns, 1.0)
        left = keep * uneven * (0.75 * ink + 0.35 * smear) + 3.0 * uneven
        self.page[rows, columns] = np.clip(
            printed - (ink * (1 - rubbed) + left * rubbed), 0, 255
        ).astype(np.uint8)

    def _patch(self, points: Line, margin: float) -> tuple[slice, slice] | None:
        low = np.floor((points.min(0) + self._origin - margin) * self._scale).astype(int)
        high = np.ceil((points.max(0) + self._origin + margin) * self._scale).astype(int)
        height, width = self.page.shape
        left, top = np.maximum(low, 0)
        right, bottom = min(int(high[0]), width), min(int(high[1]), height)
        if right - left < 2 or bottom - top < 2:
            return None
        return slice(int(top), bottom), slice(int(left), right)

    def _stroke(
        self, layers: Sequence[NDArray[np.uint8]], at: Line, pen: Pen, wide: float, press: float
    ) -> None:
        """One line, in chunks of changing pressure that take turns on the two layers."""
        fixed = np.round((at + 0.5) * (_FINER << _SHIFT) - (1 << _SHIFT >> 1)).astype(np.int32)
        count = max(1, -(-(len(fixed) - 1) // _POINTS_A_CHUNK))
        swing = pen.swing * np.interp(
            np.arange(count), np.arange(0, count + 3, 3), self._rng.normal(0, 0.6, (count + 5) // 3)
        )
        pressed = np.clip(press * (1 + swing), 0.35, 1.6)
        skipped = self._rng.random(count) < pen.skips
        thick = np.round(wide * self._scale * _FINER * (0.75 + 0.25 * pressed)).astype(int)
        shade = np.clip(255 * pressed * np.where(skipped, 0.25, 0.82), 0, 255).astype(int)
        for chunk in range(count):
            start = chunk * _POINTS_A_CHUNK
            piece = fixed[start : start + _POINTS_A_CHUNK + 1]
            cv2.polylines(
                layers[chunk % 2], [piece], isClosed=False, color=int(shade[chunk]),
                thickness=max(1, int(thick[chunk])), lineType=cv2.LINE_AA, shift=_SHIFT,
            )  # fmt: skip

    def _cover(self, layer: NDArray[np.uint8], rows: slice, columns: slice, pen: Pen) -> Float32:
        size = (columns.stop - columns.start, rows.stop - rows.start)
        laid = cv2.resize(layer, size, interpolation=cv2.INTER_AREA).astype(np.float32)
        laid *= pen.cover * 1.22 / 255
        if pen.grain > 0.02:
            tooth = self._teeth(rows, columns, pen.grain)
            laid *= np.clip(1.15 - 1.5 * tooth * (1.25 - laid), 0, 1.1)
        return np.asarray(np.minimum(laid, 0.995), np.float32)

    def _teeth(self, rows: slice, columns: slice, grain: float) -> Float32:
        """The tooth of the paper here, 0 to `grain`; the same wherever it is asked again."""
        tile = _tooth()
        top, left = (rows.start + self._tooth[0]) % _TILE, (columns.start + self._tooth[1]) % _TILE
        tall, wide = rows.stop - rows.start, columns.stop - columns.start
        if max(tall, wide) <= _TILE:
            return tile[top : top + tall, left : left + wide] * np.float32(grain)
        down, across = (top + np.arange(tall)) % _TILE, (left + np.arange(wide)) % _TILE
        return tile[np.ix_(down, across)] * np.float32(grain)


@cache
def _tooth() -> Float32:
    """Paper's roughness, evenly spread over 0 to 1: a tile that repeats, twice each way."""
    rng = np.random.default_rng(838)
    noise = rng.normal(0, 1, (_TILE, _TILE)).astype(np.float32)
    wrapped = np.pad(noise, 16, mode='wrap')
    fine = cv2.GaussianBlur(wrapped, (0, 0), 0.75)[16:-16, 16:-16]
    coarse = cv2.GaussianBlur(wrapped, (0, 0), 2.5)[16:-16, 16:-16]
    mixed = fine / fine.std() + 0.6 * coarse / coarse.std()
    ranks = np.argsort(np.argsort(mixed, axis=None))
    even = (ranks.reshape(mixed.shape) / mixed.size).astype(np.float32)
    return np.tile(even, (2, 2))
