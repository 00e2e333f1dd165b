"""How the ink of a mark is spread around its middle: what strikes it out runs far out of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.strokes import Strokes
from halfpoint.collect.paper.read.scale import COARSE, MARGIN

Floats = NDArray[np.float32]
Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
# So much around a circle is looked at, in pixels of the map; and along rays from the middle of the
# mark, so far apart, in millimetres.
HALF = 24
_TURNS, _RAY = 32, np.arange(0.5, 5.51, 0.25)
# The middle is that of the ink so near the circle's, and lies no farther off, in radii.
_NEAR, _FARTHEST = 1.15, 0.6
# Ink is drawn from this share of what a stroke must be, and of the pen; a ray ends where so many
# places beyond so many millimetres are bare.
_OF_STROKE, _OF_PEN, _BARE_FROM = 0.5, 0.12, 1.5
_BELTS = (0.0, 0.5, 0.9, 1.2, 1.5, 1.9, 2.5)
# Rays are looked at between these, and what all of them show from so far out is ground (radii).
_RAYS, _GROUND_FROM = ((1.25, 1.8), (1.7, 2.5)), 1.25
_FOUR, _THREE, _SOME = 4, 3, 6
SPREAD: tuple[str, ...] = (
    'off the middle of the circle',
    'farthest through',
    'farthest through, across that',
    'extent, lower quartile',
    'extent, median',
    'extent, upper quartile',
    'extent, upper tenth',
    'largest extent',
    *(f'ink in belt {number + 1}' for number in range(len(_BELTS) - 1)),
    'strokes out of the outline',
    'strokes farther out',
    'area within the extent',
    'share of the circle drawn',
    *(
        f'{what}, {where}'
        for where in ('near', 'far')
        for what in (
            'darkest ray',
            'darkest ray apart from that',
            'darkest pair of rays',
            'darkest pair across that',
            'darkest rays, mean',
        )
    ),
    'all ink of the next, against the mark',
)


@dataclass(frozen=True, slots=True)
class Cutouts:
    """What is drawn around circles, without the marks of other lines; (n, side, side).

    `ink` is how much darker the page is than its printing, `drawn` where strokes are, `other` where
    these are not those of the mark.
    """

    ink: Floats
    drawn: Flags
    other: Flags


def cutouts_of(strokes: Strokes, centres: Array, claimed: Flags, own: Flags) -> Cutouts:
    """Cut out the surroundings of circles.

    Args:
        strokes: of the page.
        centres: (n, 2) of circles in millimetres, one of each line.
        claimed: for each stroke, whether it is the mark of some line.
        own: (n, strokes), whether it is that of this line.
    """
    at = np.arange(-HALF, HALF + 1)
    first = np.rint((centres + MARGIN) * COARSE - 0.5).astype(np.intp)
    height, width = strokes.over.shape
    columns = np.clip(first[:, :1] + at, 0, width - 1)[:, None, :]
    rows = np.clip(first[:, 1:] + at, 0, height - 1)[:, :, None]
    labels = strokes.labels[rows, columns]
    mine = own[np.arange(len(centres))[:, None, None], labels]
    ink = np.maximum(strokes.over[rows, columns], 0)
    ink[claimed[labels] & ~mine] = 0
    drawn = (labels > 0) & (mine | ~claimed[labels])
    return Cutouts(ink, drawn, ~mine)


def spread_traits(
    mark: Cutouts, beside: Cutouts, least: Array, dark: float, radius: float
) -> Array:
    """How the marks of lines are spread, in the order of `SPREAD`; (lines, traits).

    Args:
        mark: what is drawn around the marked circle of each line.
        beside: and around that with the most ink after it.
        least: how dark a stroke must be there, (lines,).
        dark: how dark the pen draws.
        radius: of the circles, in millimetres.
    """
    x, y, all_ink = _middle(mark, radius)
    dark = max(dark, 0.05)
    rays = _sampled(mark.ink, x, y) / dark
    limit = np.maximum(_OF_STROKE * least / dark, _OF_PEN)
    drawn = rays > limit[:, None, None]
    extent = _extent(drawn) / radius
    far = _RAY / radius
    ordered = np.sort(extent, axis=1)
    near = far < 1.0
    next_ink = (beside.ink * (beside.other & (_distance() < _NEAR * radius))).sum(axis=(1, 2))
    parts = [
        np.hypot(x, y) / radius,
        *_through(extent),
        *ordered[:, [8, 16, 24, 29, 31]].T,
        *(rays[:, :, (far >= a) & (far < b)].mean(axis=(1, 2)) for a, b in _belts()),
        *(_arcs(drawn[:, :, np.argmin(np.abs(far - at))]) for at in (1.35, 1.7)),
        (extent**2).mean(axis=1),
        (drawn * near * _RAY).sum(axis=(1, 2)) / (near * _RAY).sum() / _TURNS,
        *_outside(rays, far),
        next_ink / np.maximum(all_ink, 1e-3),
    ]
    return np.stack([np.asarray(part, float) for part in parts], axis=1)


def _belts() -> tuple[tuple[float, float], ...]:
    return tuple(pairwise(_BELTS))


@cache
def _grid() -> Floats:
    return np.asarray(np.arange(-HALF, HALF + 1) / COARSE, np.float32)


@cache
def _distance() -> Floats:
    """Of each pixel of a cutout from its middle, in millimetres."""
    return np.asarray(np.hypot(_grid()[:, None], _grid()), np.float32)


def _middle(mark: Cutouts, radius: float) -> tuple[Array, Array, Array]:
    """Where the middle of each mark lies off that of its circle, in millimetres, and its ink."""
    ink = mark.ink * (mark.drawn & (_distance() < _NEAR * radius))
    columns, rows = ink.sum(axis=1), ink.sum(axis=2)
    total = columns.sum(axis=1)
    most = _FARTHEST * radius
    x, y = (
        np.clip(along @ _grid() / np.maximum(total, 1e-6), -most, most) for along in (columns, rows)
    )
    return np.asarray(x, float), np.asarray(y, float), np.asarray(total, float)


def _sampled(ink: Floats, x: Array, y: Array) -> Floats:
    """Means of squares along rays from the middles; (lines, directions, steps)."""
    padded = np.pad(ink, ((0, 0), (1, 1), (1, 1)), mode='edge')
    down = padded[:, :-2] + padded[:, 1:-1] + padded[:, 2:]
    smooth = (down[:, :, :-2] + down[:, :, 1:-1] + down[:, :, 2:]) / 9
    turn = 2 * np.pi * (np.arange(_TURNS) + 0.5) / _TURNS
    columns = _pixel(x[:, None, None] + np.cos(turn)[:, None] * _RAY)
    rows = _pixel(y[:, None, None] + np.sin(turn)[:, None] * _RAY)
    return np.asarray(smooth[np.arange(len(ink))[:, None, None], rows, columns], np.float32)


def _pixel(places: Array) -> NDArray[np.intp]:
    return np.asarray(np.clip(np.rint(places * COARSE) + HALF, 0, 2 * HALF), np.intp)


def _extent(drawn: Flags) -> Array:
    """How far out each ray is drawn without a wide gap, in millimetres; (lines, directions)."""
    ends = ~(drawn[:, :, 2:] | drawn[:, :, 1:-1] | drawn[:, :, :-2])
    ends &= _RAY[2:] > _BARE_FROM
    ended = np.logical_or.accumulate(ends, axis=2)
    going = np.concatenate([np.ones_like(drawn[:, :, :2]), ~ended], axis=2)
    return np.asarray((_RAY * (drawn & going)).max(axis=2), float)


def _through(extent: Array) -> tuple[Array, Array]:
    """The farthest that ink goes on both sides of the middle, and across that direction."""
    opposite = np.roll(_widened(extent), _TURNS // 2, axis=1)
    both = np.minimum(extent, opposite)
    half = _TURNS // 2
    both = np.maximum(both[:, :half], both[:, half:])
    return both.max(axis=1), _apart(both, _FOUR, 0.0)


def _widened(rays: Array) -> Array:
    """Each direction as far as its neighbours."""
    return np.maximum(rays, np.maximum(np.roll(rays, 1, axis=1), np.roll(rays, -1, axis=1)))


def _apart(values: Array, least: int, without: float) -> Array:
    """The most of all directions that are so many steps or more from that with the most."""
    count = values.shape[1]
    steps = np.arange(count) - values.argmax(axis=1)[:, None]
    away = np.abs((steps + count // 2) % count - count // 2) >= least
    return np.asarray(np.where(away, values, without).max(axis=1), float)


def _arcs(drawn: Flags) -> Array:
    """How many strokes cross a circle, (lines,) from (lines, directions)."""
    return np.asarray((drawn & ~np.roll(drawn, 1, axis=1)).sum(axis=1), float)


def _outside(rays: Floats, far: Array) -> list[Array]:
    ground = np.where(far > _GROUND_FROM, np.sort(rays, axis=1)[:, _TURNS // 2], 0.0)
    above = rays - ground[:, None, :]
    found: list[Array] = []
    for start, end in _RAYS:
        ray = np.asarray(above[:, :, (far > start) & (far <= end)].mean(axis=2), float)
        wide = _widened(ray)
        pairs = np.minimum(wide, np.roll(wide, _TURNS // 2, axis=1))[:, : _TURNS // 2]
        found += [
            ray.max(axis=1),
            _apart(ray, _FOUR, -1.0),
            pairs.max(axis=1),
            _apart(pairs, _THREE, -1.0),
            np.sort(ray, axis=1)[:, -_SOME:].mean(axis=1),
        ]
    return found
