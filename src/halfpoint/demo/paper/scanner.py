"""A page on its way through a scanner."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.demo.paper import damage
from halfpoint.demo.paper.encode import as_jpeg
from halfpoint.demo.paper.noise import with_noise
from halfpoint.demo.paper.styles import STYLES, Style
from halfpoint.demo.paper.truth import Filled, Image, Taken
from halfpoint.demo.paper.warp import Grid, reduced, warped

TURNED_QUARTER, TURNED_HALF = 0.12, 0.1
DARK_BACKGROUND, GREY_BACKGROUND = 0.15, 0.25
FITTED_TO_PAGE = 0.35
SHOWS_THROUGH = 0.2
PUNCHED, STAPLED, STREAKED, DUSTY = 0.03, 0.04, 0.06, 0.3
# One in so many scans is made much too dark or too light.
OFF_TONE = 0.06


@dataclass(frozen=True, slots=True)
class Bed:
    """How the page lies: millimetres of the scan to millimetres of the printed page.

    `shrink` (x, y) is what fitting to the page did in printing, about the middle of the paper.
    """

    paper: tuple[float, float]
    angle: float
    offset: tuple[float, float]
    shrink: tuple[float, float]
    stretch: tuple[float, float, float]
    bent: damage.Bend | None

    def page(self, x: Grid, y: Grid) -> tuple[Grid, Grid]:
        """Where on the printed page a place of the scan is."""
        width, height = self.paper
        long, waves, phase = self.stretch
        fed = y + long * height * np.sin(2 * np.pi * waves * y / height + phase) / (
            2 * np.pi * max(waves, 0.2)
        )
        cx, cy = width / 2, height / 2
        u, v = x - cx - self.offset[0], fed - cy - self.offset[1]
        c, s = np.cos(self.angle), np.sin(self.angle)
        u, v = c * u + s * v, c * v - s * u
        if self.bent is not None:
            du, dv = self.bent(u + cx, v + cy)
            u, v = u + du, v + dv
        return u / self.shrink[0] + cx, v / self.shrink[1] + cy

    def outline(self, corners: NDArray[np.float64]) -> NDArray[np.float64]:
        """Where corners (n, 2) of the paper are on the scan."""
        centre = np.array(self.paper) / 2
        c, s = np.cos(self.angle), np.sin(self.angle)
        turned: NDArray[np.float64] = (corners - centre) @ np.array(((c, s), (-s, c)))
        return turned + centre + self.offset


def scan(
    rng: np.random.Generator, filled: Filled, style: str, behind: Filled | None = None
) -> Taken:
    """Scan a filled page.

    Args:
        rng: where the chance comes from.
        filled: the page.
        style: a scanner style of `styles.STYLES`.
        behind: what is on the other side of the paper, if anything shows through.
    """
    how = STYLES[style]
    notes: list[str] = []
    page = _with_other_side(rng, filled.image, behind, notes)
    page = _with_office(rng, page, filled.dpi / 25.4, notes)
    hurt = damage.hurt(rng, how.damage, page, filled.dpi / 25.4)
    notes += hurt.notes
    image = scan_hurt(rng, hurt, filled.dpi / 25.4, how, notes)
    encoded = as_jpeg(image, int(rng.integers(how.quality[0], how.quality[1] + 1)))
    return Taken(encoded, style, tuple(notes), how.good)


def scan_hurt(
    rng: np.random.Generator,
    hurt: damage.Hurt,
    scale: float,
    how: Style,
    notes: list[str],
    *,
    turn: bool = True,
) -> Image:
    """A sheet of `scale` pixels to a millimetre as the scanner gives it; appends to `notes`."""
    image = _on_bed(rng, hurt, scale, how, notes)
    image = _sensed(rng, image, notes)
    return _turned(rng, image, notes) if turn else image


def _with_other_side(
    rng: np.random.Generator, page: Image, behind: Filled | None, notes: list[str]
) -> Image:
    """The other side, mirrored and diffuse, through the paper."""
    if behind is None:
        return page
    notes.append('shows through')
    height, width = behind.image.shape
    small = cv2.resize(behind.image, (width // 4, height // 4), interpolation=cv2.INTER_AREA)
    share = rng.uniform(0.04, 0.12)
    pale = cv2.LUT(small[:, ::-1], np.round(255 - share * (255 - np.arange(256))).astype(np.uint8))
    shift = np.array(((1, 0, rng.normal(0, 4)), (0, 1, rng.normal(0, 4))), np.float32)
    moved = cv2.warpAffine(pale, shift, (width // 4, height // 4), borderValue=255)
    full = cv2.resize(moved, page.shape[::-1], interpolation=cv2.INTER_LINEAR)
    return np.asarray(cv2.multiply(page, full, scale=1 / 255), np.uint8)


def _with_office(rng: np.random.Generator, page: Image, scale: float, notes: list[str]) -> Image:
    """Punched holes and staples."""
    chance = rng.random()
    if chance < PUNCHED:
        notes.append('punched')
        page = page.copy()
        middle = page.shape[0] / 2 + rng.normal(0, 2) * scale
        for side in (-40, 40):
            # ISO 838: 6 mm wide, 80 mm apart, their middles 12 mm from the edge.
            spot = (round(12 * scale), round(middle + side * scale))
            cv2.circle(page, spot, round(3 * scale), int(rng.integers(20, 120)), -1, cv2.LINE_AA)
    elif chance < PUNCHED + STAPLED:
        notes.append('stapled')
        page = page.copy()
        x, y, angle = rng.uniform(5, 14), rng.uniform(5, 12), rng.uniform(-1, 0.3)
        for shade, off, wide in ((190, 0.5, 1.6), (70, 0, 0.7)):
            start = (round((x + off) * scale), round((y + off) * scale))
            end = (start[0] + round(11 * np.cos(angle) * scale),
                   start[1] + round(11 * np.sin(angle) * scale))  # fmt: skip
            cv2.line(page, start, end, shade, max(1, round(wide * scale)), cv2.LINE_AA)
    return page


def _on_bed(
    rng: np.random.Generator, hurt: damage.Hurt, scale: float, how: Style, notes: list[str]
) -> Image:
    wanted = how.detail / 25.4
    height, width = hurt.page.shape
    paper = (width / scale, height / scale)
    source, fine = reduced(hurt.page, scale, wanted)
    bed = _bed(rng, paper, hurt.bend, notes)
    size = (round(paper[0] * wanted), round(paper[1] * wanted))

    def where(x: Grid, y: Grid) -> tuple[Grid, Grid]:
        u, v = bed.page((x + 0.5) / wanted, (y + 0.5) / wanted)
        return u * fine - 0.5, v * fine - 0.5

    image = warped(source, where, size, cell=32 if hurt.bend is None else 8)
    return _with_background(rng, image, bed.outline(hurt.outline) * wanted, notes)


def _bed(
    rng: np.random.Generator,
    paper: tuple[float, float],
    bent: damage.Bend | None,
    notes: list[str],
) -> Bed:
    shrink = (1.0, 1.0)
    if rng.random() < FITTED_TO_PAGE:
        both = rng.uniform(0.94, 1.02)
        shrink = (both * rng.uniform(0.996, 1.004), both * rng.uniform(0.996, 1.004))
        notes.append('fitted to page')
    skew = float(np.clip(rng.normal(0, 0.8), -2.5, 2.5))
    return Bed(
        paper=paper,
        angle=np.radians(skew),
        offset=(rng.normal(0, 1.6), rng.normal(0, 1.6)),
        shrink=shrink,
        stretch=(rng.uniform(0, 0.003), rng.uniform(0.3, 3), rng.uniform(0, 2 * np.pi)),
        bent=bent,
    )


def _with_background(
    rng: np.random.Generator, image: Image, outline: NDArray[np.float64], notes: list[str]
) -> Image:
    """What lies around the paper: a white lid, a grey one, or the dark."""
    chance = rng.random()
    shade = int(rng.integers(246, 256))
    if chance < DARK_BACKGROUND:
        shade = int(rng.integers(5, 40))
        notes.append('dark border')
    elif chance < DARK_BACKGROUND + GREY_BACKGROUND:
        shade = int(rng.integers(190, 240))
    around = np.full(image.shape, 255, np.uint8)
    shape = np.round(outline * 16).astype(np.int32)
    cv2.fillPoly(around, [shape], 0, cv2.LINE_8, 4)
    image[around > 0] = shade
    edge = min(int(rng.integers(120, 245)), 255)
    cv2.polylines(image, [shape], True, edge, 1, cv2.LINE_AA, 4)
    return image


def _sensed(rng: np.random.Generator, image: Image, notes: list[str]) -> Image:
    """Lamp, lens and sensor: streaks, blur, noise, tone."""
    if rng.random() < DUSTY:
        _dust(rng, image)
    if rng.random() < STREAKED:
        notes.append('streaks')
        for column in rng.integers(0, image.shape[1], int(rng.integers(1, 4))):
            part = image[:, column : column + int(rng.integers(1, 3))]
            part[:] = cv2.convertScaleAbs(part, alpha=float(rng.uniform(0.72, 0.95)))
    if rng.random() < 0.35:
        image = np.asarray(cv2.GaussianBlur(image, (3, 3), float(rng.uniform(0.3, 0.65))), np.uint8)
    image = with_noise(rng, image, float(rng.uniform(0.8, 4.0)))
    return np.asarray(cv2.LUT(image, _tone(rng, notes)), np.uint8)


def _tone(rng: np.random.Generator, notes: list[str]) -> Image:
    """How light and how hard this scanner makes things."""
    black, white = rng.uniform(0, 35), rng.uniform(232, 262)
    gamma = float(np.exp(rng.normal(0, 0.12)))
    if rng.random() < OFF_TONE:
        dark = rng.random() < 0.5
        gamma *= 1.7 if dark else 0.62
        white = white * 0.88 if dark else white + 8
        notes.append('dark scan' if dark else 'light scan')
    levels = np.linspace(0, 1, 256) ** gamma
    return np.clip(np.round(black + (white - black) * levels), 0, 255).astype(np.uint8)


def _dust(rng: np.random.Generator, image: Image) -> None:
    height, width = image.shape
    for _ in range(int(rng.integers(1, 14))):
        x, y = int(rng.integers(width)), int(rng.integers(height))
        shade = int(rng.integers(90, 220))
        if rng.random() < 0.25:
            ends = rng.integers(-14, 15, (3, 2)).cumsum(0) + np.array((x, y))
            cv2.polylines(image, [ends.astype(np.int32)], False, shade, 1, cv2.LINE_AA)
        else:
            cv2.circle(image, (x, y), int(rng.integers(1, 3)), shade, -1, cv2.LINE_AA)


def _turned(rng: np.random.Generator, image: Image, notes: list[str]) -> Image:
    chance = rng.random()
    if chance < TURNED_HALF:
        notes.append('turned 180')
        return np.asarray(cv2.rotate(image, cv2.ROTATE_180), np.uint8)
    if chance < TURNED_HALF + TURNED_QUARTER:
        left = rng.random() < 0.5
        notes.append('turned 270' if left else 'turned 90')
        way = cv2.ROTATE_90_COUNTERCLOCKWISE if left else cv2.ROTATE_90_CLOCKWISE
        return np.asarray(cv2.rotate(image, way), np.uint8)
    return image
