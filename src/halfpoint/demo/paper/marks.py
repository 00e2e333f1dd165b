"""The shapes of marks, in millimetres around the middle of what is marked."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from halfpoint.demo.paper.curves import Line, straight, through, turned

Lines = list[Line]
Rng = np.random.Generator
LONGEST_TAIL = 8.0


def fill(rng: Rng, radius: float, width: float, dense: float) -> Lines:
    """Round and round, from the rim inwards; what is not `dense` leaves white between turns."""
    gap = width * (0.72 + 1.1 * (1 - dense))
    outer = max(radius - width / 2, width / 2)
    turns = max(1.6, outer / gap)
    steps = int(turns * 14) + 6
    angle = np.linspace(0, turns * 2 * np.pi, steps) * rng.choice((-1, 1)) + rng.uniform(0, 7)
    reach = outer * (1 - np.linspace(0, 1, steps) ** rng.uniform(0.85, 1.15))
    reach *= 1 + rng.normal(0, 0.05, steps)
    squash = rng.uniform(0.82, 1.0)
    line = np.stack((reach * np.cos(angle), squash * reach * np.sin(angle)), axis=1)
    lines = [turned(line, rng.uniform(0, np.pi))]
    if rng.random() < 0.5:
        lines.append(_loop(rng, outer, squash))
    return lines


def scribble(rng: Rng, radius: float, width: float, dense: float) -> Lines:
    """Loops that wander over the circle."""
    loops = rng.uniform(3.5, 6) + 4 * dense
    steps = int(loops * 11)
    t = np.linspace(0, loops * 2 * np.pi, steps)
    drift = through(rng.normal(0, 0.22 * radius, (max(4, int(loops)), 2)), 8)
    at = np.linspace(0, len(drift) - 1, steps)
    x = radius * rng.uniform(0.55, 0.85) * np.cos(t) * (1 + 0.25 * np.sin(t * 0.37 + 1))
    y = radius * rng.uniform(0.35, 0.7) * np.sin(t * rng.uniform(0.94, 1.06))
    grid = np.arange(len(drift))
    wander = np.stack([np.interp(at, grid, drift[:, axis]) for axis in (0, 1)], axis=1)
    line = np.stack((x, y), axis=1) + wander
    return [turned(line, rng.uniform(-0.9, 0.3))]


def zigzag(rng: Rng, radius: float, width: float, dense: float) -> Lines:
    """To and fro in slanting lines, sometimes out over the rim."""
    gap = width * (0.85 + 1.3 * (1 - dense))
    count = max(5, int(2 * radius / gap))
    across = np.linspace(-0.92, 0.92, count) * radius
    half = np.sqrt(np.clip(radius**2 - across**2, 0.1 * radius**2, None))
    ends = half * np.where(np.arange(count) % 2, 1, -1) * rng.normal(1.0, 0.14, count)
    corners = np.stack((ends, across + rng.normal(0, 0.12 * gap, count)), axis=1)
    line = through(corners, 5)
    return [turned(line, rng.normal(-0.75, 0.25))]


def cross(rng: Rng, radius: float, width: float, dense: float) -> Lines:
    """Two strokes."""
    reach = radius * rng.uniform(0.95, 1.25)
    shear = rng.normal(0, 0.12)
    first = _stroke(rng, reach, np.pi / 4 + shear)
    second = _stroke(rng, reach * rng.uniform(0.85, 1.2), -np.pi / 4 + shear)
    return [first, second[::-1] if rng.random() < 0.7 else second]


def tick(rng: Rng, radius: float, tail: float) -> Lines:
    """A short stroke down, a long one up to the right; its point lies near the middle."""
    short = rng.uniform(0.7, 1.2) * radius
    up = rng.normal(0.95, 0.17)
    long = min(tail * rng.uniform(0.75, 1.25), LONGEST_TAIL)
    start = (-short * rng.uniform(0.5, 0.9), -short * rng.uniform(0.35, 0.8))
    point = (rng.normal(0, 0.12 * radius), radius * rng.uniform(0.15, 0.6))
    end = (point[0] + long * np.cos(up), point[1] - long * np.sin(up))
    middle = ((point[0] + end[0]) / 2 + 0.08 * long, (point[1] + end[1]) / 2 + 0.06 * long)
    return [through([start, point, point, middle, end], 6)]


def dot(rng: Rng, radius: float, width: float, dense: float) -> Lines:
    """A small blot in the middle."""
    small = radius * rng.uniform(0.22, 0.5)
    return [line * 1.0 for line in fill(rng, max(small, 0.55 * width), width, 1.0)]


def dash(rng: Rng, radius: float, width: float, dense: float) -> Lines:
    """One stroke through the middle, gone over twice by some."""
    angle = rng.normal(-0.15, 0.25)
    lines = [_stroke(rng, radius * rng.uniform(0.75, 1.2), angle)]
    if rng.random() < 0.3:
        lines.append(_stroke(rng, radius * rng.uniform(0.7, 1.1), angle + rng.normal(0, 0.08)))
    return lines


def slash(rng: Rng, radius: float, width: float, dense: float) -> Lines:
    """One slanting stroke."""
    return [_stroke(rng, radius * rng.uniform(1.0, 1.5), rng.normal(-0.8, 0.2))]


def hook(rng: Rng, radius: float, width: float, dense: float) -> Lines:
    """A small tick that stays inside."""
    return tick(rng, radius * 0.8, radius * rng.uniform(1.1, 1.8))


def ring(rng: Rng, width: float, height: float) -> Lines:
    """An oval with these half axes whose ends miss or pass each other."""
    steps = 34
    turn = 2 * np.pi * rng.uniform(0.94, 1.16)
    angle = np.linspace(0, turn, steps) * rng.choice((-1, -1, 1)) + rng.uniform(-2.4, -1.2)
    swell = np.linspace(rng.uniform(0.92, 1.05), rng.uniform(0.95, 1.12), steps)
    line = np.stack((width * swell * np.cos(angle), height * swell * np.sin(angle)), axis=1)
    return [turned(line, rng.normal(0, 0.08))]


def arrow(rng: Rng, start: tuple[float, float], end: tuple[float, float]) -> Lines:
    """A bowed arrow."""
    shaft = straight(start, end, rng.uniform(0.12, 0.3) * rng.choice((-1, 1)))
    back = shaft[-3] - shaft[-1]
    heading = np.arctan2(back[1], back[0])
    barbs = [
        shaft[-1] + rng.uniform(1.0, 1.7) * np.array((np.cos(angle), np.sin(angle)))
        for angle in (heading - 0.5, heading + 0.5)
    ]
    return [shaft, straight(tuple(barbs[0]), tuple(shaft[-1])),
            straight(tuple(shaft[-1]), tuple(barbs[1]))]  # fmt: skip


def strike(rng: Rng, how: str, radius: float, width: float) -> Lines:
    """What is drawn over a mark to take it back; `how` is a key of `rates.STRIKES`."""
    reach = radius * rng.uniform(1.4, 2.1)
    if how == 'cross':
        tilt = rng.normal(0, 0.15)
        return [_stroke(rng, reach, np.pi / 4 + tilt), _stroke(rng, reach, -np.pi / 4 + tilt)]
    if how == 'line':
        return [_stroke(rng, reach, rng.normal(-0.5, 0.5))]
    if how == 'lines':
        angle = rng.normal(-0.6, 0.4)
        side = np.array((-np.sin(angle), np.cos(angle)))
        offsets = np.linspace(-0.6, 0.6, int(rng.integers(2, 5))) * radius
        return [_stroke(rng, reach, angle + rng.normal(0, 0.06)) + side * at for at in offsets]
    return scribble(rng, radius * rng.uniform(1.1, 1.45), width, 0.9)


Shape = Callable[[Rng, float, float, float], Lines]
SHAPES: dict[str, Shape] = {
    'fill': fill,
    'scribble': scribble,
    'zigzag': zigzag,
    'cross': cross,
    'dot': dot,
    'dash': dash,
    'slash': slash,
    'hook': hook,
}


def _stroke(rng: Rng, reach: float, angle: float) -> Line:
    along = np.array((np.cos(angle), np.sin(angle)))
    start, end = -along * reach * rng.uniform(0.85, 1.1), along * reach * rng.uniform(0.85, 1.15)
    return straight(tuple(start), tuple(end), rng.normal(0, 0.04))


def _loop(rng: Rng, reach: float, squash: float) -> Line:
    angle = np.linspace(0, 2 * np.pi * rng.uniform(0.8, 1.1), 22) + rng.uniform(0, 7)
    return reach * np.stack((np.cos(angle), squash * np.sin(angle)), axis=1)
