"""Where a place on a bent sheet of paper lands in a photograph, and back.

The sheet is a cylinder: it rises along one direction and is straight along the other, and keeps
its length (`x` advances by sqrt(1 - slope²) for each millimetre of paper).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.demo.paper.warp import Grid

Floats = NDArray[np.float64]
_SAMPLES = 400


@dataclass(frozen=True, slots=True)
class Roll:
    """How paper rises: samples of millimetres of paper `s`, advance `x`, height `z`, slope."""

    angle: float
    s: Floats
    x: Floats
    z: Floats
    slope: Floats

    @classmethod
    def drawn(
        cls, rng: np.random.Generator, size: tuple[float, float], sag: float, waves: float
    ) -> Roll:
        """A sheet (width, height) that rises by `sag`, with gentle waves of that height."""
        upright = rng.random() < 0.5
        angle = (0.0 if upright else np.pi / 2) + rng.normal(0, 0.12)
        reach = float(np.hypot(*size)) / 2 + 5
        s = np.linspace(-reach, reach, _SAMPLES)
        length = size[0] if upright else size[1]
        arch = np.cos(np.pi * s / length + rng.normal(0, 0.35))
        lifted = sag * arch * rng.choice((-1, 1))
        if rng.random() < 0.4:
            corner = np.clip(np.abs(s) / (length / 2) - rng.uniform(0.3, 0.7), 0, None)
            lifted = sag * 2 * corner**2 * (s > 0)
        wave = waves * np.sin(2 * np.pi * s / rng.uniform(70, 160) + rng.uniform(0, 7))
        z = lifted + wave
        slope = np.clip(np.gradient(z, s), -0.85, 0.85)
        x = np.concatenate(((0.0,), np.cumsum(np.sqrt(1 - slope[1:] ** 2) * np.diff(s))))
        return cls(angle, s, x - x[_SAMPLES // 2] + s[_SAMPLES // 2], z, slope)

    def place(self, u: Grid, v: Grid) -> tuple[Grid, Grid, Grid]:
        """Where in space a place of the paper is; both about its middle, in millimetres."""
        c, s = np.cos(self.angle), np.sin(self.angle)
        along, across = c * u + s * v, c * v - s * u
        moved = np.interp(along, self.s, self.x)
        return c * moved - s * across, s * moved + c * across, np.interp(along, self.s, self.z)

    def lean(self, u: Grid, v: Grid) -> tuple[Grid, Grid]:
        """Slope of the paper to the right and down."""
        c, s = np.cos(self.angle), np.sin(self.angle)
        steep = np.interp(c * u + s * v, self.s, self.slope)
        return c * steep, s * steep


@dataclass(frozen=True, slots=True)
class Camera:
    """A pinhole: `turn` (3, 3) turns the scene, `away` is its distance, `focal` in pixels."""

    turn: Floats
    away: float
    focal: float
    middle: tuple[float, float]
    roll: Roll
    paper: tuple[float, float]

    def seen(self, u: Grid, v: Grid) -> tuple[Grid, Grid]:
        """Pixel of a place (millimetres from the sheet's top left)."""
        x, y, z = self.roll.place(u - self.paper[0] / 2, v - self.paper[1] / 2)
        return self._project(x, y, -z)

    def page(self, px: Grid, py: Grid) -> tuple[Grid, Grid]:
        """Place on the sheet that a pixel shows.

        The flat sheet's own answer, mended until what it is seen at is that pixel.
        """
        u, v = self._flat(px, py)
        aim_u, aim_v = u, v
        for _ in range(7):
            seen_x, seen_y = self.seen(u, v)
            back_u, back_v = self._flat(seen_x, seen_y)
            u, v = u + aim_u - back_u, v + aim_v - back_v
        return u, v

    def _project(self, x: Grid, y: Grid, z: Grid) -> tuple[Grid, Grid]:
        r = self.turn
        depth = self.away + r[2, 0] * x + r[2, 1] * y + r[2, 2] * z
        across = r[0, 0] * x + r[0, 1] * y + r[0, 2] * z
        down = r[1, 0] * x + r[1, 1] * y + r[1, 2] * z
        return (
            self.focal * across / depth + self.middle[0],
            self.focal * down / depth + self.middle[1],
        )

    def _flat(self, px: Grid, py: Grid) -> tuple[Grid, Grid]:
        """Where the ray of a pixel meets the plane of the flat sheet."""
        a, b = (px - self.middle[0]) / self.focal, (py - self.middle[1]) / self.focal
        r, d = self.turn, self.away
        m11, m12 = r[0, 0] - a * r[2, 0], r[0, 1] - a * r[2, 1]
        m21, m22 = r[1, 0] - b * r[2, 0], r[1, 1] - b * r[2, 1]
        det = m11 * m22 - m12 * m21
        x, y = (a * d * m22 - m12 * b * d) / det, (m11 * b * d - m21 * a * d) / det
        return x + self.paper[0] / 2, y + self.paper[1] / 2


def aimed(
    rng: np.random.Generator,
    size: tuple[int, int],
    paper: tuple[float, float],
    roll: Roll,
    *,
    tilt: float,
    spin: float,
    share: float,
) -> Camera:
    """A camera that has the whole sheet in a picture of (width, height).

    Args:
        rng: where the sheet lies in the picture.
        size: of the picture.
        paper: width and height of the sheet, in millimetres.
        roll: how it is bent.
        tilt: of the camera against looking straight down, radians.
        spin: of the sheet in the picture, radians.
        share: how much of the picture's width or height the sheet takes.
    """
    turn = _turn(tilt, rng.uniform(0, 2 * np.pi), spin)
    focal = 0.75 * max(size)
    edge = np.array(((0, 0), (paper[0], 0), paper, (0, paper[1]))).T
    away = 1.4 * max(paper)
    middle = (size[0] / 2, size[1] / 2)
    for _ in range(6):
        camera = Camera(turn, away, focal, middle, roll, paper)
        x, y = camera.seen(edge[0], edge[1])
        away *= max(np.ptp(x) / (share * size[0]), np.ptp(y) / (share * size[1]))
    camera = Camera(turn, away, focal, middle, roll, paper)
    x, y = camera.seen(edge[0], edge[1])
    spare = np.array((size[0] - np.ptp(x), size[1] - np.ptp(y))) * rng.uniform(0.25, 0.75, 2)
    moved = (middle[0] + spare[0] - x.min(), middle[1] + spare[1] - y.min())
    return Camera(turn, away, focal, (float(moved[0]), float(moved[1])), roll, paper)


def _turn(tilt: float, towards: float, spin: float) -> Floats:
    """Spin about the line of sight, then tilt towards a direction."""

    def about_z(angle: float) -> Floats:
        c, s = np.cos(angle), np.sin(angle)
        return np.array(((c, -s, 0), (s, c, 0), (0, 0, 1)), float)

    c, s = np.cos(tilt), np.sin(tilt)
    about_x = np.array(((1, 0, 0), (0, c, -s), (0, s, c)), float)
    turn: Floats = about_z(towards) @ about_x @ about_z(-towards) @ about_z(spin)
    return turn
