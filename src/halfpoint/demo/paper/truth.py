"""What a writer meant, and the page that came of it."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.pages import Page
from halfpoint.demo.paper.writer import Writer

Image = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class RowTruth:
    """One category of one glass.

    Attributes:
        category: its key.
        value: what the writer finally meant; None where the line was left blank or the mark was
            taken back, and for `double`, where no reading is right and only a question is.
        kind: how it was written, a key of `rates.ROW_EVENTS`, or `clean`.
        clean: one ordinary mark of that writer, and no other ink on the circles of the line.
    """

    category: str
    value: float | None
    kind: str
    clean: bool


@dataclass(frozen=True, slots=True)
class BoxTruth:
    """One box. `kind` and `key` as in the layout (a band's key is its label).

    `how` says what was drawn: the writer's mark, `withdrawn`, `ringed` or nothing.
    """

    kind: str
    key: str
    ticked: bool
    clean: bool
    how: str = ''


@dataclass(frozen=True, slots=True)
class BlockTruth:
    """All about one glass; `total`, `seconds` and `code` as written or printed, '' without."""

    place: int
    rows: tuple[RowTruth, ...]
    boxes: tuple[BoxTruth, ...]
    total: str
    seconds: str
    tasted: bool
    code: str = ''


@dataclass(frozen=True, slots=True)
class Filled:
    """A page as it lies on the table: grey (height, width), ink on print, at `dpi`."""

    image: Image
    blocks: tuple[BlockTruth, ...]
    writer: Writer
    dpi: float
    page: Page


@dataclass(frozen=True, slots=True)
class Taken:
    """A page as it comes home: `encoded` is the file, `kind` the style it was taken in.

    `notes` name what happened to it; `good` is an ordinary scan or photograph without damage.
    """

    encoded: bytes
    kind: str
    notes: tuple[str, ...]
    good: bool

    @property
    def image(self) -> Image:
        """The file decoded, grey (height, width)."""
        return decoded(self.encoded)


def decoded(encoded: bytes) -> Image:
    """Grey pixels of an image file of our own making."""
    pixels = cv2.imdecode(np.frombuffer(encoded, np.uint8), cv2.IMREAD_GRAYSCALE)
    if pixels is None:
        raise ValueError('not an image')
    return np.asarray(pixels, np.uint8)
