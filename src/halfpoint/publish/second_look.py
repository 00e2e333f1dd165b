"""A page beside what was read on it, for a second look by a person."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product

from PIL import Image, ImageDraw, ImageFont

from halfpoint.collect.paper.print.layout import (
    FRAME_HEIGHT,
    FRAME_WIDTH,
    Block,
    Bubble,
    Layout,
    Rectangle,
    Row,
)
from halfpoint.publish.palette import CLAY, INK, LINE, MOSS, PAPER, SOFT
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.words import say_number
from halfpoint.typeface import font_directory, printable

# Pixels per millimetre: large enough to tell a bubble at arm's length from a screen.
SCALE = 7.0
HEAD, MARGIN, PANEL = 14.0, 6.0, 68.0
RING = 0.6
PLUS_A_LITTLE = 1e-6


@dataclass(frozen=True, slots=True)
class PourShown:
    """What stands in the record for one block of a page; a mark is None where none does."""

    place: int
    code: str
    marks: Mapping[str, float | None]
    ticked: frozenset[tuple[str, str]] = frozenset()


@dataclass(frozen=True, slots=True)
class PageShown:
    """A page for a second look: its title in words, its kept picture (JPEG), its pours."""

    title: str
    picture: bytes
    layout: Layout
    pours: Sequence[PourShown]


def second_look(page: PageShown, sheet: Sheet) -> bytes:
    """The page as a PNG: rings around what was read, and every mark large beside its row."""
    size = (round((FRAME_WIDTH + PANEL + 2 * MARGIN) * SCALE), round(_height() * SCALE))
    canvas = Image.new('RGB', size, PAPER)
    with Image.open(io.BytesIO(page.picture)) as picture:
        frame = (round(FRAME_WIDTH * SCALE), round(FRAME_HEIGHT * SCALE))
        flat = picture.convert('RGB').resize(frame, Image.Resampling.LANCZOS)
    canvas.paste(flat, (round(MARGIN * SCALE), round(HEAD * SCALE)))
    pen = _Pen(ImageDraw.Draw(canvas), sheet)
    pen.write(MARGIN, HEAD / 2, page.title, 5.0, INK, bold=True, frame=False)
    for pour in page.pours:
        block = page.layout.blocks[pour.place - 1]
        pen.rings(block, pour)
        pen.beside(block, pour)
    written = io.BytesIO()
    canvas.save(written, 'PNG', compress_level=4)
    return written.getvalue()


def _height() -> float:
    return HEAD + FRAME_HEIGHT + MARGIN


@dataclass(frozen=True, slots=True)
class _Pen:
    draw: ImageDraw.ImageDraw
    sheet: Sheet

    def rings(self, block: Block, pour: PourShown) -> None:
        for row in block.rows:
            for bubble in bubbles_of(row, pour.marks.get(row.category)):
                self._ring(bubble)
        for box in block.boxes:
            if (box.kind, box.key or box.label.text) in pour.ticked:
                self._frame(box.area, MOSS, 0.7)

    def beside(self, block: Block, pour: PourShown) -> None:
        left = FRAME_WIDTH + 4
        self.draw.line(_pixels(left, block.area.top, left + PANEL - 4, block.area.top), LINE, 2)
        title = f'{pour.place}   {pour.code}'
        self.write(left, block.number.top + block.number.height / 2, title, 6.0, INK, bold=True)
        for row in block.rows:
            self._mark(row, pour.marks.get(row.category), left)
        # Marks stand level with their rows; words go where the remark is, below the last row.
        top = max(row.label.area.bottom for row in block.rows) + 3.5
        said = self._words(pour)
        for at, line in enumerate(_wrapped(said, 34) or ["no box ticked"]):
            self.write(left, top + at * 4.4, line, 3.4, INK if said else SOFT)

    def write(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        colour: str,
        *,
        bold: bool = False,
        frame: bool = True,
    ) -> None:
        """Letters `size` mm high, the middle of their line at `y`."""
        left, top = _pixels(x, y) if frame else (x * SCALE, y * SCALE)
        self.draw.text((left, top), printable(text), colour, _font(size, bold), anchor='lm')

    def _mark(self, row: Row, mark: float | None, left: float) -> None:
        y = row.bubbles[0].centre.y
        label = self.sheet.category(row.category).label
        self.write(left, y, label if len(label) < 21 else f'{label[:20]}…', 3.2, SOFT)
        said, colour = ("–", CLAY) if mark is None else (say_number(mark), MOSS)
        self.write(left + 44, y, said, 4.4, colour, bold=True)

    def _words(self, pour: PourShown) -> str:
        labels = {
            'term': {key: term.label for key, term in self.sheet.terms_by_key.items()},
            'family': {family.key: family.label for family in self.sheet.families},
            'fault': {key: fault.label for key, fault in self.sheet.faults_by_key.items()},
        }
        said = [labels.get(kind, {}).get(key, key) for kind, key in sorted(pour.ticked)]
        return ", ".join(said)

    def _ring(self, bubble: Bubble) -> None:
        reach = bubble.diameter / 2 + 0.8
        box = _pixels(
            bubble.centre.x - reach, bubble.centre.y - reach,
            bubble.centre.x + reach, bubble.centre.y + reach,
        )  # fmt: skip
        self.draw.ellipse(box, outline=MOSS, width=round(RING * SCALE))

    def _frame(self, area: Rectangle, colour: str, reach: float) -> None:
        box = _pixels(area.left - reach, area.top - reach, area.right + reach, area.bottom + reach)
        self.draw.rectangle(box, outline=colour, width=round(RING * SCALE))


def bubbles_of(row: Row, mark: float | None) -> Iterator[Bubble]:
    """The circles that make up a mark: one, or one of each part."""
    if mark is None:
        return
    parts = dict.fromkeys(bubble.part for bubble in row.bubbles)
    runs = [[bubble for bubble in row.bubbles if bubble.part == part] for part in parts]
    for chosen in product(*runs):
        if abs(sum(bubble.adds for bubble in chosen) - mark) < PLUS_A_LITTLE:
            yield from chosen
            return


def _pixels(*places: float) -> tuple[float, ...]:
    """Millimetres from the frame's corner, x and y in turn, as pixels of the canvas."""
    return tuple((place + (HEAD if at % 2 else MARGIN)) * SCALE for at, place in enumerate(places))


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width)[:4]


@cache
def _font(size: float, bold: bool) -> ImageFont.FreeTypeFont:
    style = 'Bold' if bold else 'Regular'
    # Capitals of the typeface are 0.73 of its size.
    return ImageFont.truetype(str(font_directory() / f'Inter-{style}.otf'), size / 0.73 * SCALE)
