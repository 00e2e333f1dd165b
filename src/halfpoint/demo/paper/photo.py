"""A page photographed with a phone, on some table, in some light."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from halfpoint.demo.paper import damage
from halfpoint.demo.paper.camera import Camera, Roll, aimed
from halfpoint.demo.paper.encode import as_jpeg
from halfpoint.demo.paper.noise import table, with_noise
from halfpoint.demo.paper.styles import STYLES, Style
from halfpoint.demo.paper.truth import Filled, Image, Taken, decoded
from halfpoint.demo.paper.warp import Grid, coarse, reduced, shaded, warped

_LIGHT_CELL = 32
ASPECT = 3 / 4
SHADOWED, MOVED, SHARPENED, ASKEW, LANDSCAPE = 0.3, 0.18, 0.5, 0.08, 0.12
FLAT = 0.45
MOST_TILT = np.radians(25)


@dataclass(frozen=True, slots=True)
class Scene:
    """One photograph about to be taken: its size in pixels, camera, and what hurts it."""

    size: tuple[int, int]
    camera: Camera
    what: str


def photograph(rng: np.random.Generator, filled: Filled, style: str) -> Taken:
    """Photograph a filled page.

    Args:
        rng: where the chance comes from.
        filled: the page.
        style: a style of a photograph, of `styles.STYLES`.
    """
    how = STYLES[style]
    scale = filled.dpi / 25.4
    hurt = damage.hurt(rng, how.damage, filled.image, scale)
    notes = list(hurt.notes)
    scene = scene_of(rng, filled.image.shape, scale, how, notes)
    image = on_table(rng, hurt, scale, scene)
    image = lit(rng, image, scene, notes)
    image = through_lens(rng, image, how, notes)
    encoded = as_jpeg(image, int(rng.integers(how.quality[0], how.quality[1] + 1)))
    return Taken(encoded, style, tuple(notes), how.good)


def scene_of(
    rng: np.random.Generator,
    shape: tuple[int, ...],
    scale: float,
    how: Style,
    notes: list[str],
) -> Scene:
    """How the camera is held over the sheet, and how the sheet lies."""
    paper = (shape[1] / scale, shape[0] / scale)
    long, short = how.detail, round(how.detail * ASPECT)
    lying = rng.random() < LANDSCAPE
    size = (long, short) if lying else (short, long)
    spin = rng.normal(0, 0.05) + np.pi * (rng.random() < 0.06)
    if lying:
        spin += np.pi / 2 * rng.choice((-1, 1))
    elif rng.random() < ASKEW:
        spin += rng.uniform(-np.pi, np.pi)
        notes.append('askew')
    tilt = float(min(abs(rng.normal(0, 0.17)), MOST_TILT))
    roll = Roll.drawn(rng, paper, *_curl(rng, how, notes))
    share = rng.uniform(0.86, 0.97)
    camera = aimed(rng, size, paper, roll, tilt=tilt, spin=spin, share=share)
    return Scene(size, camera, how.damage)


def on_table(rng: np.random.Generator, hurt: damage.Hurt, scale: float, scene: Scene) -> Image:
    """The sheet as the camera sees it, with the table around."""
    camera = scene.camera
    source, fine = reduced(hurt.page, scale, camera.focal / camera.away)

    def where(x: Grid, y: Grid) -> tuple[Grid, Grid]:
        u, v = camera.page(x, y)
        if hurt.bend is not None:
            du, dv = hurt.bend(u, v)
            u, v = u + du, v + dv
        return u * fine - 0.5, v * fine - 0.5

    image = warped(source, where, scene.size, cell=32 if hurt.bend is None else 8)
    edge = np.stack(camera.seen(hurt.outline[:, 0], hurt.outline[:, 1]), axis=1)
    shape = np.round(edge * 16).astype(np.int32)
    around = np.full(image.shape, 255, np.uint8)
    cv2.fillPoly(around, [shape], 0, cv2.LINE_8, 4)
    top = table(rng, scene.size)
    _shadow_of_sheet(rng, top, edge)
    cv2.copyTo(top, around, image)
    return image


def lit(rng: np.random.Generator, image: Image, scene: Scene, notes: list[str]) -> Image:
    """Light from somewhere, shade, the lens's own falling off, glare."""
    width, height = scene.size
    x, y = coarse(scene.size, _LIGHT_CELL)
    right, down = (x - width / 2) / width, (y - height / 2) / height
    angle, slant = rng.uniform(0, 2 * np.pi), abs(rng.normal(0, 0.22))
    gain = 1 + slant * (np.cos(angle) * right + np.sin(angle) * down)
    gain *= 1 - rng.uniform(0.0, 0.35) * (right**2 + down**2)
    u, v = scene.camera.page(x, y)
    paper = scene.camera.paper
    lean_x, lean_y = scene.camera.roll.lean(u - paper[0] / 2, v - paper[1] / 2)
    inside = (u > 0) & (u < paper[0]) & (v > 0) & (v < paper[1])
    gain *= 1 + rng.uniform(0.3, 0.8) * (np.cos(angle) * lean_x + np.sin(angle) * lean_y) * inside
    if scene.what == 'shadowed':
        gain *= _shade(rng, scene.size, x, y, depth=rng.uniform(0.45, 0.72), soft=0.01)
        notes.append('strong shadow')
    elif rng.random() < SHADOWED:
        gain *= _shade(rng, scene.size, x, y, depth=rng.uniform(0.1, 0.38), soft=0.06)
        notes.append('shadow')
    exposure = rng.uniform(0.72, 1.02)
    image = shaded(image, gain * exposure, _LIGHT_CELL)
    if scene.what == 'glare':
        image = _glare(rng, image, scene)
        notes.append('glare')
    if scene.what == 'finger':
        finger(rng, image, scene.camera)
        notes.append('finger')
    return image


def through_lens(rng: np.random.Generator, image: Image, how: Style, notes: list[str]) -> Image:
    """Focus, hand, sensor, and what phones and messengers make of a picture."""
    fine = how.detail / 4000
    sigma = abs(rng.normal(0, 0.55)) * (0.5 + 0.5 * fine) + 0.3
    if how.damage == 'blurred':
        sigma = rng.uniform(1.3, 2.6) * (0.45 + 0.55 * fine)
        notes.append('out of focus')
    side = 3 if sigma < 0.7 else 2 * int(np.ceil(2 * sigma)) + 1
    image = np.asarray(cv2.GaussianBlur(image, (side, side), sigma), np.uint8)
    if how.damage == 'blurred' or rng.random() < MOVED:
        image = _moved(rng, image, rng.uniform(1.0, 3.0) * (0.6 + 0.6 * fine))
        notes.append('moved')
    image = with_noise(rng, image, float(rng.uniform(1.0, 5.0)), soft=0.6)
    if rng.random() < SHARPENED:
        k = rng.uniform(0.1, 0.4)
        kernel = np.array(((0, -k, 0), (-k, 1 + 4 * k, -k), (0, -k, 0)), np.float32)
        image = np.asarray(cv2.filter2D(image, -1, kernel), np.uint8)
    image = np.asarray(cv2.LUT(image, _tone(rng)), np.uint8)
    if how.messenger:
        image = decoded(as_jpeg(image, int(rng.integers(70, 90))))
    return image


def finger(
    rng: np.random.Generator, image: Image, camera: Camera, at: tuple[float, float] | None = None
) -> None:
    """A finger that holds the sheet down, over a corner or at `at` (millimetres of the sheet)."""
    width, height = camera.paper
    if at is None:
        inward = rng.uniform(8, 30, 2)
        at = (
            float(rng.choice((inward[0], width - inward[0]))),
            float(rng.choice((inward[1] + 8, height - inward[1] - 8))),
        )
    outward = np.array(at) - (width / 2, height / 2)
    outward = outward / np.hypot(*outward) * 70
    ends = np.array((at, np.array(at) + outward))
    x, y = camera.seen(ends[:, 0], ends[:, 1])
    start, end = (int(x[0]), int(y[0])), (int(x[1]), int(y[1]))
    thick = round(rng.uniform(14, 18) * camera.focal / camera.away)
    tone = int(rng.integers(90, 190))
    for share, shade in ((1.12, 0.62), (1.0, 0.86), (0.8, 0.97), (0.55, 1.04)):
        cv2.line(image, start, end, min(255, int(tone * shade)), max(1, int(thick * share)),
                 cv2.LINE_AA)  # fmt: skip
    nail = (thick // 3, thick // 4)
    turn = float(np.degrees(np.arctan2(y[1] - y[0], x[1] - x[0])))
    cv2.ellipse(image, start, nail, turn, 0, 360, min(255, int(tone * 1.2)), -1, cv2.LINE_AA)


def _curl(rng: np.random.Generator, how: Style, notes: list[str]) -> tuple[float, float]:
    """How far the sheet rises, and how high its waves are."""
    if how.damage == 'curled':
        notes.append('strong curl')
        return rng.uniform(10, 24), rng.uniform(0, 1.5)
    if rng.random() < FLAT:
        return rng.uniform(0, 0.8), 0.0
    notes.append('curl')
    return float(np.clip(abs(rng.normal(0, 3.5)), 0, 8)), float(abs(rng.normal(0, 0.35)))


def _shadow_of_sheet(rng: np.random.Generator, top: Image, edge: NDArray[np.float64]) -> None:
    """The sheet's own narrow shadow on the table."""
    reach = rng.uniform(0.001, 0.006) * max(top.shape)
    moved = np.round((edge + rng.normal(0, 1, 2) * reach) * 16).astype(np.int32)
    shade = int(top.mean() * rng.uniform(0.5, 0.85))
    cv2.fillPoly(top, [moved], shade, cv2.LINE_AA, 4)


def _shade(
    rng: np.random.Generator,
    size: tuple[int, int],
    x: Grid,
    y: Grid,
    *,
    depth: float,
    soft: float,
) -> Grid:
    """The shadow of a head, an arm or a phone: darker beyond a wavy line."""
    long = max(size)
    angle = rng.uniform(0, 2 * np.pi)
    c, s = np.cos(angle), np.sin(angle)
    along = (c * (y - size[1] / 2) - s * (x - size[0] / 2)) / long
    beyond = (c * (x - size[0] / 2) + s * (y - size[1] / 2)) / long
    beyond = beyond - rng.uniform(-0.2, 0.25) - 0.06 * np.sin(9 * along + rng.uniform(0, 7))
    return np.asarray(1 - depth * expit(beyond / (soft * rng.uniform(0.7, 2))))


def _glare(rng: np.random.Generator, image: Image, scene: Scene) -> Image:
    """A lamp mirrored in glossy paper."""
    paper = scene.camera.paper
    where = (rng.uniform(0.1, 0.9) * paper[0], rng.uniform(0.05, 0.95) * paper[1])
    return with_glare(rng, image, scene.camera, where, rng.uniform(18, 45))


def with_glare(
    rng: np.random.Generator,
    image: Image,
    camera: Camera,
    where: tuple[float, float],
    radius: float,
    squash: float | None = None,
) -> Image:
    """Light added about a place of the sheet, until nothing is seen at its middle."""
    height, width = image.shape
    small = (width // 8, height // 8)
    px, py = camera.seen(np.array([where[0]]), np.array([where[1]]))
    reach = radius * camera.focal / camera.away / 8
    x, y = np.meshgrid(np.arange(small[0]), np.arange(small[1]))
    squash = squash or float(rng.uniform(0.5, 1.0))
    away = np.hypot(x - px[0] / 8, (y - py[0] / 8) / squash) / reach
    light = 255 * np.clip(1.6 * np.exp(-(away**2) * 1.6), 0, 1)
    full = cv2.resize(light.astype(np.uint8), (width, height), interpolation=cv2.INTER_LINEAR)
    return np.asarray(cv2.add(image, full), np.uint8)


def _moved(rng: np.random.Generator, image: Image, length: float) -> Image:
    """Shaken along a line of so many pixels."""
    side = 2 * int(np.ceil(length / 2)) + 1
    kernel = np.zeros((side * 8, side * 8), np.float32)
    middle, angle = side * 4, rng.uniform(0, np.pi)
    reach = np.array((np.cos(angle), np.sin(angle))) * length * 4
    start, end = (tuple(np.round(middle + k * reach).astype(int).tolist()) for k in (-1, 1))
    cv2.line(kernel, start, end, 1.0, 8)
    small = cv2.resize(kernel, (side, side), interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.filter2D(image, -1, small / small.sum()), np.uint8)


def _tone(rng: np.random.Generator) -> Image:
    """A phone's contrast curve."""
    levels = np.linspace(0, 1, 256)
    bent = levels + rng.uniform(-0.05, 0.14) * np.sin(2 * np.pi * levels) * -0.5
    black, white = rng.uniform(0, 28), rng.uniform(235, 262)
    return np.clip(np.round(black + (white - black) * bent), 0, 255).astype(np.uint8)
