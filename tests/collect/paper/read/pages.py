"""Printed pages to write on in tests, a steady hand of the simulator, and their reader."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from tests.collect.paper.print.made import invented

from halfpoint.collect.paper.print.lay_out import lay_out
from halfpoint.collect.paper.print.layout import Block, Bubble, Layout, Rectangle, Row, TickBox
from halfpoint.collect.paper.read.expected import PlannedPages
from halfpoint.collect.paper.read.model import HeldPage, PageReading, PourReading
from halfpoint.collect.paper.read.read_page import PageReader
from halfpoint.collect.paper.read.source import Picture
from halfpoint.demo.paper import Pen, Raster, Writer, blanks, draw_writer
from halfpoint.demo.paper.hand import Hand
from halfpoint.demo.paper.ink import Ink
from halfpoint.demo.paper.rows import circles_of
from halfpoint.plan.make import make_plan
from halfpoint.plan.model import Plan
from halfpoint.tasting.model import Taster, Tasting

Pixels = NDArray[np.uint8]
Grid = NDArray[np.float64]
# Pixels to a millimetre: about 200 dpi.
SCALE = 8.0
BLACK_PEN = Pen('black gel', 0.1, 0.5, 0.95, 0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Room:
    """A tasting that was printed: the plan, the first two pages and a spare, and a reader."""

    tasting: Tasting
    plan: Plan
    layout: Layout
    planned: PlannedPages
    reader: PageReader
    pages: tuple[Raster, ...]

    @property
    def spare(self) -> Raster:
        """The last page, which belongs to no seat."""
        return self.pages[-1]


@cache
def room(sheet: str = 'twenty-point', wines: int = 4) -> Room:
    """A room of so many wines a page: two sites, two seats, every page full."""
    tasting = invented(sheet, wines=max(2, wines))
    ada = Taster(key='ada', name="Ada", site='north')
    tasting = tasting.model_copy(update={'tasters': (ada,)})
    plan = make_plan(tasting, seed=1)
    layout = lay_out(tasting.sheet, wines)
    planned = PlannedPages(tasting, plan)
    pages = blanks(tasting, plan, layout, count=2, spares=1, scale=SCALE)
    return Room(tasting, plan, layout, planned, PageReader(planned, tasting), pages)


def steady(pen: Pen = BLACK_PEN, mark: str = 'fill') -> Writer:
    """A hand that does what is wanted of it."""
    return replace(
        draw_writer(np.random.default_rng(7)), pen=pen, mark=mark, box_mark='cross', size=1.0,
        spread=0.05, lean=(0.0, 0.0), tremor=0.01, slant=0.0, dense=1.0, half='½', tail=3.0,
    )  # fmt: skip


class Written:
    """A page of a room that is being written on."""

    def __init__(
        self, of: Room, raster: Raster | None = None, writer: Writer | None = None, seed: int = 1
    ) -> None:
        self.room = of
        self.raster = raster or of.pages[0]
        rng = np.random.default_rng(seed)
        self.ink = Ink(self.raster.image, self.raster.scale, self.raster.origin, rng)
        self.hand = Hand(rng, self.ink, writer or steady())

    def block(self, place: int) -> Block:
        """A glass of the page, counted from 1."""
        return self.room.layout.blocks[place - 1]

    def row(self, place: int, category: str) -> Row:
        """The line of a category."""
        return next(row for row in self.block(place).rows if row.category == category)

    def circles(self, place: int, category: str, value: float) -> tuple[Bubble, ...]:
        """The circles that say a mark."""
        return circles_of(self.row(place, category), value)

    def box(self, place: int, key: str) -> TickBox:
        """A box by its key, or a band by its label."""
        return next(box for box in self.block(place).boxes if key == (box.key or box.label.text))

    def mark(
        self, place: int, category: str, value: float, style: str | None = None, press: float = 1.0
    ) -> None:
        """Mark a line."""
        for bubble in self.circles(place, category, value):
            self.hand.mark(bubble, ('row',), style, press)

    def marks(self, place: int, value: dict[str, float]) -> None:
        """Mark the lines of a glass."""
        for category, each in value.items():
            self.mark(place, category, each)

    def tick(self, place: int, key: str) -> None:
        """Tick a box."""
        self.hand.tick_box(self.box(place, key).area, ('box',))

    def write(self, place: int, kind: str, text: str) -> None:
        """Digits into the cells of a glass, from the left."""
        cells = next(w.cells for w in self.block(place).write_ins if w.kind == kind)
        for cell, character in zip(cells, text, strict=False):
            self.hand.digit(character, cell, ('digit',))

    def paint(self, area: Rectangle, grey: int = 255, around: float = 1.0) -> None:
        """Paint over a part of the frame."""
        rows, columns = self.pixels_of(area, around)
        self.image[rows, columns] = grey

    def pixels_of(self, area: Rectangle, around: float = 0.0) -> tuple[slice, slice]:
        """Where a part of the frame lies in the image."""
        origin, scale = self.raster.origin, self.raster.scale
        left, top = area.left + origin.x - around, area.top + origin.y - around
        right, bottom = area.right + origin.x + around, area.bottom + origin.y + around
        edges = [max(0, round(edge * scale)) for edge in (top, bottom, left, right)]
        return slice(edges[0], edges[1]), slice(edges[2], edges[3])

    @property
    def image(self) -> Pixels:
        """The page as it is now."""
        return self.ink.page

    def read(self) -> PageReading:
        """The page as it is read; it must not be held."""
        outcome = read(self.room, self.image)
        assert isinstance(outcome, PageReading), outcome
        return outcome

    def pour(self, place: int = 1) -> PourReading:
        """What is read of one glass."""
        return self.read().pours[place - 1]


def read(of: Room, image: Pixels) -> PageReading | HeldPage:
    """What the reader of a room makes of a grey picture."""
    return of.reader.read(Picture(np.ascontiguousarray(image), bilevel=False))


def middles(of: Room, place: int) -> dict[str, float]:
    """A mark for each category of the sheet, another for each glass."""
    return {
        category.key: round(
            category.lowest + (category.steps * (3 + place) // 8) * category.step, 9
        )
        for category in of.tasting.sheet.categories
    }


def filled(of: Room, raster: Raster | None = None, seed: int = 1) -> Written:
    """A page on which every line of every glass is marked."""
    page = Written(of, raster, seed=seed)
    for place in range(1, len(page.raster.page.glasses) + 1):
        page.marks(place, middles(of, place))
    return page


def in_perspective(image: Pixels, matrix: Grid, size: tuple[int, int]) -> Pixels:
    """The image seen by a homography from its pixels to those of a picture of (width, height)."""
    return np.asarray(
        cv2.warpPerspective(image, matrix, size, borderValue=(120,), flags=cv2.INTER_AREA), np.uint8
    )
