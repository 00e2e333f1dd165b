"""Pages that must be refused or held: what people send in good faith, and should not.

Each is made from filled pages, whose truth therefore is known.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from halfpoint.collect.paper.print.layout import Layout, Rectangle
from halfpoint.demo.paper import damage, marks
from halfpoint.demo.paper.encode import as_jpeg, as_png
from halfpoint.demo.paper.filling import fill
from halfpoint.demo.paper.photo import lit, on_table, photograph, scene_of, through_lens, with_glare
from halfpoint.demo.paper.printed import Raster
from halfpoint.demo.paper.scanner import scan, scan_hurt
from halfpoint.demo.paper.styles import STYLES
from halfpoint.demo.paper.truth import Filled, Image, Taken
from halfpoint.demo.paper.writer import draw_writer
from halfpoint.sheet.form import Sheet

Rng = np.random.Generator


@dataclass(frozen=True, slots=True)
class Found:
    """What a hostile page is made of: the page, another of the batch, and the layout of both."""

    filled: Filled
    other: Filled
    layout: Layout

    @property
    def scale(self) -> float:
        """Pixels of the page to a millimetre."""
        return self.filled.dpi / 25.4

    def on_paper(self, area: Rectangle) -> Rectangle:
        """An area of the frame in millimetres from the paper's top left corner."""
        height, width = self.filled.image.shape
        left = (width / self.scale - self.layout.width) / 2
        top = (height / self.scale - self.layout.height) / 2
        return replace(area, left=area.left + left, top=area.top + top)


def hostile(
    seed: int, layout: Layout, blanks: Sequence[Raster], sheet: Sheet, kind: str
) -> tuple[Filled, Taken]:
    """A hostile page of a kind in `HOSTILE`, and the page that lies on it or in it."""
    rng = np.random.default_rng([seed, 1])
    first, second = rng.choice(len(blanks), 2, replace=len(blanks) < 2)
    filled, other = (
        fill(rng, layout, blanks[number], sheet, draw_writer(rng)) for number in (first, second)
    )
    encoded = HOSTILE[kind](rng, Found(filled, other, layout))
    return filled, Taken(encoded, kind, (kind,), good=False)


def black_and_white(rng: Rng, found: Found) -> bytes:
    """A scanner set to line art: every pixel black or white."""
    grey = scan(rng, found.filled, 'scan-200').image
    level = int(rng.integers(110, 190))
    return as_png(np.where(grey > level, 255, 0).astype(np.uint8))


def upside_down(rng: Rng, found: Found) -> bytes:
    """An ordinary scan of a page that was fed the wrong way round: it is to be read."""
    straight = damage.Hurt(found.filled.image, damage.whole_sheet(_size(found)))
    image = scan_hurt(rng, straight, found.scale, STYLES['scan-200'], [], turn=False)
    return as_jpeg(np.asarray(cv2.rotate(image, cv2.ROTATE_180), np.uint8), 80)


def empty_paper(rng: Rng, found: Found) -> bytes:
    """The empty back of a sheet."""
    bare = replace(found.filled, image=np.full_like(found.filled.image, 255))
    return scan(rng, bare, 'scan-200').encoded


def two_sheets(rng: Rng, found: Found) -> bytes:
    """Two sheets beside each other in one photograph."""
    pair = [photograph(rng, each, 'photo-5mp').image for each in (found.filled, found.other)]
    height = min(image.shape[0] for image in pair)
    alike = [
        cv2.resize(image, (round(image.shape[1] * height / image.shape[0]), height))
        for image in pair
    ]
    return as_jpeg(np.hstack(alike), 80)


def glare_over_codes(rng: Rng, found: Found) -> bytes:
    """A photograph with a lamp mirrored over each of the two codes."""
    notes: list[str] = []
    how = STYLES['photo-5mp']
    whole = damage.Hurt(found.filled.image, damage.whole_sheet(_size(found)))
    scene = scene_of(rng, found.filled.image.shape, found.scale, how, notes)
    image = lit(rng, on_table(rng, whole, found.scale, scene), scene, notes)
    for code in found.layout.codes:
        area = found.on_paper(code.area)
        middle = (area.left + area.width / 2, area.top + area.height / 2)
        image = with_glare(rng, image, scene.camera, middle, rng.uniform(24, 32), squash=1.0)
    return as_jpeg(through_lens(rng, image, how, notes), 80)


def three_corners_gone(rng: Rng, found: Found) -> bytes:
    """A scan of a sheet that three corners were torn off, their markers with them."""
    gone = rng.permutation(4)[:3].tolist()
    edge = damage.without_corners(rng, _size(found), gone, (55.0, 75.0))
    torn = damage.Hurt(found.filled.image, edge)
    return as_jpeg(scan_hurt(rng, torn, found.scale, STYLES['scan-200'], []), 80)


def both_codes_destroyed(rng: Rng, found: Found) -> bytes:
    """A scan of a sheet on which both codes were blackened."""
    page = found.filled.image.copy()
    for code in found.layout.codes:
        _blacken(rng, page, found.on_paper(code.area), found.scale)
    return scan(rng, replace(found.filled, image=page), 'scan-200').encoded


HOSTILE: dict[str, Callable[[Rng, Found], bytes]] = {
    'black and white': black_and_white,
    'upside down': upside_down,
    'empty paper': empty_paper,
    'two sheets': two_sheets,
    'glare over codes': glare_over_codes,
    'three corners gone': three_corners_gone,
    'both codes destroyed': both_codes_destroyed,
}


def _size(found: Found) -> tuple[float, float]:
    height, width = found.filled.image.shape
    return width / found.scale, height / found.scale


def _blacken(rng: Rng, page: Image, area: Rectangle, scale: float) -> None:
    middle = np.array((area.left + area.width / 2, area.top + area.height / 2))
    for _ in range(2):
        lines = marks.zigzag(rng, area.width * 0.72, 1.6, 0.9)
        points = [np.round((line + middle) * scale * 16).astype(np.int32) for line in lines]
        cv2.polylines(page, points, isClosed=False, color=25, thickness=round(1.8 * scale),
                      lineType=cv2.LINE_AA, shift=4)  # fmt: skip
