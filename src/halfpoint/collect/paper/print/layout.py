"""Where everything stands on a score sheet, in millimetres from the frame's top left corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

FRAME_WIDTH, FRAME_HEIGHT = 190.0, 257.0
LAYOUT_VERSION = 1
# ISO 216 and ANSI/ASME Y14.1.
PAPER_SIZES = {'a4': (210.0, 297.0), 'us-letter': (215.9, 279.4)}


@dataclass(frozen=True, slots=True)
class Rectangle:
    """An upright rectangle; `left` and `top` grow to the right and downwards."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.top + self.height

    def grown(self, by: float) -> Rectangle:
        """The same, larger by so much on every side."""
        return Rectangle(self.left - by, self.top - by, self.width + 2 * by, self.height + 2 * by)


def around(areas: Sequence[Rectangle]) -> Rectangle:
    """The smallest rectangle that holds all of these."""
    left, top = min(area.left for area in areas), min(area.top for area in areas)
    right, bottom = max(area.right for area in areas), max(area.bottom for area in areas)
    return Rectangle(left, top, right - left, bottom - top)


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the frame."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Fiducial:
    """A square marker of OpenCV's predefined dictionary DICT_4X4_50."""

    marker: int
    area: Rectangle


@dataclass(frozen=True, slots=True)
class CodeArea:
    """A square code without its quiet zone; `quiet` is how much white there is around it."""

    kind: str
    area: Rectangle
    modules: int
    quiet: float


@dataclass(frozen=True, slots=True)
class Words:
    """A printed label; it is set as large as `size` allows (points) and shrunk to fit."""

    text: str
    area: Rectangle
    size: float
    align: str = 'left'
    weight: str = 'regular'
    lines: int = 1


@dataclass(frozen=True, slots=True)
class Bubble:
    """A circle to fill. `part` is `whole`, `coarse` or `fine`; a mark is the sum of its parts."""

    part: str
    adds: float
    text: str
    centre: Point
    diameter: float


@dataclass(frozen=True, slots=True)
class Tick:
    """A line of a ruler, hanging down from it."""

    x: float
    length: float


@dataclass(frozen=True, slots=True)
class Ruler:
    """The thin ruler above a run of bubbles."""

    left: float
    right: float
    y: float
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """One category: its label, its bubbles, the rulers above them, `+` between two parts."""

    category: str
    label: Words
    bubbles: tuple[Bubble, ...]
    rulers: tuple[Ruler, ...]
    plus: Words | None = None


@dataclass(frozen=True, slots=True)
class TickBox:
    """A box to tick. `kind` is `term`, `family`, `fault` or `band`; `key` as in the sheet.

    A finish band has no key: its label stands for it.
    """

    kind: str
    key: str
    area: Rectangle
    label: Words


@dataclass(frozen=True, slots=True)
class WriteIn:
    """Where something is written. `kind` is `total`, `seconds` or `remark`.

    `cells` hold a digit each; the remark has none.
    """

    kind: str
    area: Rectangle
    cells: tuple[Rectangle, ...]
    labels: tuple[Words, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """What is asked about one glass. `code` is where the blind code is printed.

    On a spare sheet the taster writes the code into `code_cells` instead.
    """

    place: int
    area: Rectangle
    number: Rectangle
    code: Rectangle
    code_cells: tuple[Rectangle, ...]
    rows: tuple[Row, ...]
    boxes: tuple[TickBox, ...]
    write_ins: tuple[WriteIn, ...]
    titles: tuple[Words, ...]


@dataclass(frozen=True, slots=True)
class Head:
    """Areas for what is printed on each page by itself."""

    title: Rectangle
    site: Rectangle
    taster: Rectangle
    seat: Rectangle
    table: Rectangle
    page: Rectangle
    identity: Rectangle
    invented: Rectangle


@dataclass(frozen=True, slots=True)
class Layout:
    """A whole page. `wines_a_page` blocks stand below each other, all alike.

    The frame lies in the middle of the paper; `origins` has its top left corner on each paper.
    """

    version: int
    sheet: str
    wines_a_page: int
    width: float
    height: float
    origins: dict[str, Point]
    fiducials: tuple[Fiducial, ...]
    side_marks: tuple[Rectangle, ...]
    codes: tuple[CodeArea, ...]
    head: Head
    words: tuple[Words, ...]
    blocks: tuple[Block, ...]


def origins() -> dict[str, Point]:
    """Where the frame begins on each paper, from the paper's top left corner."""
    return {
        paper: Point(round((width - FRAME_WIDTH) / 2, 3), round((height - FRAME_HEIGHT) / 2, 3))
        for paper, (width, height) in PAPER_SIZES.items()
    }
