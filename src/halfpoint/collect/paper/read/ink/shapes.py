"""How plainly something is drawn in each circle and box, however lightly: matched filters."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.amounts import patches_at
from halfpoint.collect.paper.read.ink.targets import Targets
from halfpoint.collect.paper.read.middle import median, middle_of, quantile
from halfpoint.collect.paper.read.scale import FINE

Floats = NDArray[np.float32]
Array = NDArray[np.float64]
# Cells of a quarter of a millimetre, so many either way from the middle of a target.
_CELL, _CELLS = 2, 8
_SIZE = _CELL / FINE
# So much of a target is left out all around, since pages never lie quite flat, in millimetres.
_INSET = 0.4
# Lines are looked for in so many directions, so far off the middle, so long and wide, and held
# against what lies beside them; blots are so wide.
_DIRECTIONS, _OFFSETS = 12, (-0.9, -0.45, 0.0, 0.45, 0.9)
_HALF_LENGTH, _WIDTH, _BESIDE, _BLOT = 1.15, 0.18, 0.7, 0.4
_LEAST_SPREAD = 0.002
_LIGHT, _DARK = 0.25, 0.9


@dataclass(frozen=True, slots=True)
class Shapes:
    """What is drawn in each target above what this page's empty ones show; (targets,) each.

    `line` is the darkest line, `across` the darkest of those that cross it, `blot` the middle
    against its surroundings; `light` and `dark` are quantiles of the cells (0.25 and 0.9).
    `lines` and `blots` are the first and third in spreads of the page's empty targets.
    `line_spread` is that of the lines.
    """

    line: Array
    across: Array
    blot: Array
    light: Array
    dark: Array
    lines: Array
    blots: Array
    line_spread: float


def shapes_in_boxes(above: Floats, targets: Targets) -> Shapes:
    """Shapes in the boxes of a page; `above` is its darkness above the print."""
    if not len(targets.corners):
        none = np.zeros(0)
        return Shapes(none, none, none, none, none, none, none, 1.0)
    side = median(targets.corners[:, 2] - targets.corners[:, 0])
    middles = (targets.corners[:, :2] + targets.corners[:, 2:]) / 2
    return _shapes(above, middles, round(side / 2 - _INSET, 2), is_round=False)


def shapes_in_circles(above: Floats, targets: Targets) -> Shapes:
    """Shapes in the circles of a page; `above` is its darkness above the print."""
    radius = float(targets.diameters.min()) / 2
    return _shapes(above, targets.centres, round(radius - _INSET, 2), is_round=True)


def _shapes(above: Floats, middles: Array, half: float, *, is_round: bool) -> Shapes:
    cells = _cells(above, middles)
    # What every target shows alike is print and how it is blurred, not ink.
    cells -= middle_of(cells)
    lines, spot, inside = _filters(half, is_round)
    by_direction = (cells @ lines).reshape(len(cells), _DIRECTIONS, -1).max(axis=2)
    best = by_direction.argmax(axis=1)
    turned = (best[:, None] + np.arange(4, _DIRECTIONS - 3)) % _DIRECTIONS
    line = np.asarray(by_direction.max(axis=1), float)
    across = np.asarray(np.take_along_axis(by_direction, turned, axis=1).max(axis=1), float)
    blot = np.asarray(cells @ spot, float)
    within = cells[:, inside]
    spread = _spread(line)
    return Shapes(
        line=line,
        across=across,
        blot=blot,
        light=quantile(within, _LIGHT),
        dark=quantile(within, _DARK),
        lines=(line - median(line)) / spread,
        blots=(blot - median(blot)) / _spread(blot),
        line_spread=spread,
    )


def _cells(above: Floats, middles: Array) -> Floats:
    """Patches around places, averaged to cells; (places, cells)."""
    patches = patches_at(above, middles, _CELL * _CELLS)
    across = patches[:, :-1, :-1:_CELL] + patches[:, :-1, 1::_CELL]
    sums = across[:, ::_CELL] + across[:, 1::_CELL]
    return np.asarray(sums.reshape(len(patches), -1) / _CELL**2, np.float32)


@cache
def _filters(half: float, is_round: bool) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Filters as columns, (cells, directions × offsets), that of a blot, and the cells inside."""
    at = (np.arange(-_CELLS, _CELLS) + 0.5) * _SIZE - 0.5 / FINE
    x, y = (each.ravel() for each in np.meshgrid(at, at))
    inside = np.hypot(x, y) < half if is_round else (np.abs(x) < half) & (np.abs(y) < half)
    columns = [
        _against(_line(x, y, turn, offset, 0.0), _beside(x, y, turn, offset), inside)
        for turn in np.arange(_DIRECTIONS) * np.pi / _DIRECTIONS
        for offset in _OFFSETS
    ]
    distance = np.hypot(x, y)
    spot = np.exp(-0.5 * (distance / _BLOT) ** 2)
    blot = _against(spot, (distance > 2.5 * _BLOT).astype(float), inside)
    return np.stack(columns, axis=1), blot, inside


def _line(x: Array, y: Array, turn: float, offset: float, beside: float) -> Array:
    along = np.abs(x * np.cos(turn) + y * np.sin(turn))
    off = -x * np.sin(turn) + y * np.cos(turn) - offset - beside
    return np.where(along < _HALF_LENGTH, np.exp(-0.5 * (off / _WIDTH) ** 2), 0.0)


def _beside(x: Array, y: Array, turn: float, offset: float) -> Array:
    return _line(x, y, turn, offset, _BESIDE) + _line(x, y, turn, offset, -_BESIDE)


def _against(drawn: Array, bare: Array, inside: NDArray[np.bool_]) -> Floats:
    """A filter that is 1 for what is drawn and -1 for what is beside it."""
    weights = [each * inside / max(float((each * inside).sum()), 1e-6) for each in (drawn, bare)]
    return np.asarray(weights[0] - weights[1], np.float32)


def _spread(values: Array) -> float:
    """The standard deviation of what most targets show."""
    middle = median(values)
    return max(1.4826 * median(np.abs(values - middle)), _LEAST_SPREAD)
