"""What happens to paper among glasses: stains, folds, crumpling, torn corners, smudges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from halfpoint.demo.paper.curves import through
from halfpoint.demo.paper.warp import Grid

Image = NDArray[np.uint8]
Bend = Callable[[Grid, Grid], tuple[Grid, Grid]]
Outline = NDArray[np.float64]
_COARSE = 4


@dataclass(frozen=True, slots=True)
class Hurt:
    """A page after what befell it.

    `outline` (n, 2) is the edge of the paper in millimetres, `bend` moves places of the page.
    """

    page: Image
    outline: Outline
    bend: Bend | None = None
    notes: tuple[str, ...] = ()


def hurt(rng: np.random.Generator, what: str, page: Image, scale: float) -> Hurt:
    """Do a damage of this name to a page; names of damage to the picture leave it whole."""
    height, width = page.shape
    size = (width / scale, height / scale)
    whole = Hurt(page, whole_sheet(size))
    return _DAMAGE[what](rng, whole, scale, size) if what in _DAMAGE else whole


def whole_sheet(size: tuple[float, float]) -> Outline:
    """The edge of a sheet, with places along its sides so that it can be bent."""
    width, height = size
    along = np.linspace(0, 1, 13)[:-1]
    sides = [
        np.stack((along * width, 0 * along), 1),
        np.stack((width + 0 * along, along * height), 1),
        np.stack((width - along * width, height + 0 * along), 1),
        np.stack((0 * along, height - along * height), 1),
    ]
    return np.concatenate(sides)


def _stained(
    rng: np.random.Generator, whole: Hurt, scale: float, size: tuple[float, float]
) -> Hurt:
    page = whole.page.copy()
    for _ in range(int(rng.integers(1, 5))):
        at = (rng.uniform(15, size[0] - 15), rng.uniform(25, size[1] - 25))
        if rng.random() < 0.4:
            _glass_ring(rng, page, at, scale)
        else:
            _blot(rng, page, at, scale)
    return Hurt(page, whole.outline, None, ('stain',))


def _blot(rng: np.random.Generator, page: Image, at: tuple[float, float], scale: float) -> None:
    """A drop that dried: paler inside, darker at its edge, sometimes with splashes."""
    spots = [(at, rng.gamma(2.2, 4.8) + 2)]
    spots += [
        ((at[0] + rng.normal(0, 14), at[1] + rng.normal(0, 14)), rng.uniform(0.4, 2))
        for _ in range(int(rng.integers(0, 6)))
    ]
    depth = rng.uniform(0.05, 0.4)
    for spot, radius in spots:
        angle = np.linspace(0, 2 * np.pi, 13)[:-1]
        reach = radius * np.exp(rng.normal(0, 0.13, 12))
        knots = np.stack((reach * np.cos(angle), reach * np.sin(angle)), axis=1)
        edge = through(np.concatenate((knots, knots[:2])), 6) + spot
        _tint(page, scale, edge, depth, rim=depth * rng.uniform(0.1, 0.9))


def _glass_ring(
    rng: np.random.Generator, page: Image, at: tuple[float, float], scale: float
) -> None:
    """What the foot of a glass leaves: a ring that is wet on one side."""
    radius = rng.uniform(30, 38)
    start, sweep = rng.uniform(0, 7), rng.uniform(1.5, 6.3)
    angle = start + np.linspace(0, sweep, 60)
    arc = np.stack((np.cos(angle), np.sin(angle)), axis=1) * radius + at
    depth = rng.uniform(0.08, 0.4)
    _tint(page, scale, arc, depth, line=rng.uniform(0.8, 3.0))


def _tint(
    page: Image,
    scale: float,
    edge: Outline,
    depth: float,
    *,
    rim: float = 0.0,
    line: float = 0.0,
) -> None:
    """Darken what lies within an edge, or along it."""
    height, width = page.shape
    margin = 3 + line
    low = np.maximum(np.floor((edge.min(0) - margin) * scale), 0).astype(int)
    high = np.minimum(np.ceil((edge.max(0) + margin) * scale), (width, height)).astype(int)
    if (high - low < 2 * _COARSE).any():
        return
    small = np.maximum((high - low) // _COARSE, 1)
    factor = small / (high - low)
    points = np.round((edge * scale - low) * factor * 16).astype(np.int32)
    mask = np.zeros((small[1], small[0]), np.uint8)
    if line:
        thick = max(1, round(line * scale / _COARSE))
        cv2.polylines(mask, [points], False, round(255 * depth), thick, cv2.LINE_AA, 4)
        mask = cv2.GaussianBlur(mask, (0, 0), 0.25 * thick + 0.6)
    else:
        cv2.fillPoly(mask, [points], round(255 * depth), cv2.LINE_AA, 4)
        cv2.polylines(mask, [points], True, round(255 * min(depth + rim, 0.7)), 2, cv2.LINE_AA, 4)
        mask = cv2.GaussianBlur(mask, (0, 0), 1.0)
    part = page[low[1] : high[1], low[0] : high[0]]
    keep = 255 - cv2.resize(mask, part.shape[::-1], interpolation=cv2.INTER_LINEAR)
    page[low[1] : high[1], low[0] : high[0]] = cv2.multiply(part, keep, scale=1 / 255)


def _folded(rng: np.random.Generator, whole: Hurt, scale: float, size: tuple[float, float]) -> Hurt:
    """Folded once or twice, into halves or thirds, and laid flat again."""
    page = whole.page.copy()
    folds: list[_Fold] = []
    for across in (True, False)[: int(rng.integers(1, 3))]:
        length = size[1] if across else size[0]
        share = rng.choice((1 / 3, 1 / 2, 2 / 3)) + rng.normal(0, 0.03)
        fold = _Fold(across, share * length, rng.normal(0, 0.012), *rng.normal(0, 0.35, 2))
        folds.append(fold)
        _crease(rng, page, fold, scale)

    def bend(x: Grid, y: Grid) -> tuple[Grid, Grid]:
        moves = [fold.move(x, y) for fold in folds]
        return sum(m[0] for m in moves), sum(m[1] for m in moves)  # type: ignore[return-value]

    return Hurt(page, whole.outline, bend, ('fold',))


@dataclass(frozen=True, slots=True)
class _Fold:
    """A line across the page or down it, where one half has slid against the other."""

    across: bool
    at: float
    slope: float
    slide: float
    lift: float

    def distance(self, x: Grid, y: Grid) -> Grid:
        return y - self.at - self.slope * x if self.across else x - self.at - self.slope * y

    def move(self, x: Grid, y: Grid) -> tuple[Grid, Grid]:
        beyond = expit(self.distance(x, y) / 1.2)
        along, over = self.slide * beyond, self.lift * beyond
        return (along, over) if self.across else (over, along)


def _crease(rng: np.random.Generator, page: Image, fold: _Fold, scale: float) -> None:
    """Light on one side, shade on the other, worn fibres along the line."""
    height, width = page.shape
    length = width if fold.across else height
    reach = int(12 * scale)
    middle = int((fold.at + fold.slope * length / scale / 2) * scale)
    start, stop = max(middle - reach, 0), min(middle + reach, height if fold.across else width)
    strip = page[start:stop] if fold.across else page[:, start:stop].T
    rows, columns = np.arange(start, stop)[:, None], np.arange(strip.shape[1])[None, :]
    distance = rows / scale - fold.at - fold.slope * columns / scale
    dark, light = rng.uniform(0.04, 0.22), rng.uniform(0.0, 0.08)
    side = rng.choice((-1, 1))
    gain = 1 - dark * np.exp(-np.abs(distance) / 3.5) * (side * distance > 0)
    gain += light * np.exp(-np.abs(distance) / 2.5) * (side * distance < 0)
    core = np.exp(-((distance / rng.uniform(0.15, 0.35)) ** 2))
    made = np.clip(strip * gain, 0, 255)
    made += core * rng.uniform(0.1, 0.7) * (rng.uniform(150, 235) - made)
    if fold.across:
        page[start:stop] = made.astype(np.uint8)
    else:
        page[:, start:stop] = made.T.astype(np.uint8)


def _crumpled(
    rng: np.random.Generator, whole: Hurt, scale: float, size: tuple[float, float]
) -> Hurt:
    """Balled up and smoothed out: facets with edges, each tilted its own way."""
    points = rng.uniform(0, 1, (26, 2)) * size
    tilt = rng.normal(0, 1, (26, 2))
    step = 3.0
    across, down = np.arange(-20, size[0] + 20, step), np.arange(-20, size[1] + 20, step)
    x, y = np.meshgrid(across, down)
    square = (x[..., None] - points[:, 0]) ** 2 + (y[..., None] - points[:, 1]) ** 2
    weight = np.exp(-(square - square.min(-1, keepdims=True)) / 70)
    weight /= weight.sum(-1, keepdims=True)
    slopes = weight @ tilt
    strength = rng.uniform(0.3, 0.9)
    shade = 1 + rng.uniform(0.05, 0.13) * slopes[..., 0]

    def bend(u: Grid, v: Grid) -> tuple[Grid, Grid]:
        at_x = ((u - across[0]) / step).astype(np.float32)
        at_y = ((v - down[0]) / step).astype(np.float32)
        moved = [
            cv2.remap((strength * slopes[..., axis]).astype(np.float32), at_x, at_y,
                      cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
            for axis in (0, 1)
        ]  # fmt: skip
        return moved[0].astype(float), moved[1].astype(float)

    height, width = whole.page.shape
    inner = cv2.warpAffine(
        np.clip(shade * 127, 0, 255).astype(np.uint8),
        np.array(((1 / (step * scale), 0, 20 / step), (0, 1 / (step * scale), 20 / step))),
        (width, height), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
    )  # fmt: skip
    page = np.asarray(cv2.multiply(whole.page, inner, scale=1 / 127), np.uint8)
    return Hurt(page, whole.outline, bend, ('crumple',))


def _torn(rng: np.random.Generator, whole: Hurt, scale: float, size: tuple[float, float]) -> Hurt:
    """One corner gone, sometimes two."""
    gone = rng.permutation(4)[: 1 + int(rng.random() < 0.3)]
    return Hurt(whole.page, without_corners(rng, size, gone.tolist()), None, ('torn corner',))


def without_corners(
    rng: np.random.Generator,
    size: tuple[float, float],
    gone: list[int],
    reach: tuple[float, float] = (18.0, 48.0),
) -> Outline:
    """The edge of a sheet with these corners (0 to 3, clockwise from the top left) torn off.

    Tears end between the two lengths of `reach` from the corner.
    """
    width, height = size
    corners = np.array(((0, 0), (width, 0), (width, height), (0, height)), float)
    edge: list[NDArray[np.float64]] = []
    for k in range(4):
        here, before, after = corners[k], corners[k - 1], corners[(k + 1) % 4]
        if k not in gone:
            edge.append(here[None])
            continue
        start, end = (
            here + (to - here) / np.hypot(*(to - here)) * rng.uniform(*reach)
            for to in (before, after)
        )
        t = np.linspace(0, 1, 16)[:, None]
        ragged = rng.normal(0, 0.6, (16, 2)).cumsum(0) * np.sin(np.pi * t)
        edge.append(start + (end - start) * t + ragged)
    joined = np.concatenate(edge)
    return _with_more_points(joined)


def _with_more_points(edge: Outline) -> Outline:
    following = np.roll(edge, -1, 0)
    pieces = []
    for start, end in zip(edge, following, strict=True):
        count = max(1, int(np.hypot(*(end - start)) / 20))
        pieces.append(start + (end - start) * (np.arange(count) / count)[:, None])
    return np.concatenate(pieces)


def _smudged(
    rng: np.random.Generator, whole: Hurt, scale: float, size: tuple[float, float]
) -> Hurt:
    """A wet thumb drawn over rows."""
    page = whole.page.copy()
    for _ in range(int(rng.integers(1, 4))):
        left, top = rng.uniform(20, size[0] - 60), rng.uniform(40, size[1] - 50)
        wide, tall = rng.uniform(15, 45), rng.uniform(6, 16)
        rows = slice(int(top * scale), int((top + tall) * scale))
        columns = slice(int(left * scale), int((left + wide) * scale))
        part = page[rows, columns].astype(np.float32)
        drawn = cv2.blur(part, (int(rng.uniform(2, 7) * scale), int(0.8 * scale)))
        y, x = np.mgrid[-1 : 1 : part.shape[0] * 1j, -1 : 1 : part.shape[1] * 1j]
        weight = np.clip(1.4 * (1 - x**2) * (1 - y**2), 0, 1) * rng.uniform(0.3, 0.75)
        page[rows, columns] = (part * (1 - weight) + drawn * weight * 0.97).astype(np.uint8)
    return Hurt(page, whole.outline, None, ('smudge',))


_DAMAGE: dict[str, Callable[[np.random.Generator, Hurt, float, tuple[float, float]], Hurt]] = {
    'stained': _stained,
    'folded': _folded,
    'crumpled': _crumpled,
    'torn': _torn,
    'smudged': _smudged,
}
