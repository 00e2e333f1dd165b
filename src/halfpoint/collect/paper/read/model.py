"""What reading a page gives: marks and ticks, and what only a person can decide."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from halfpoint.collect.paper.print.layout import Rectangle

# Pixels per millimetre of the kept picture of a page, which shows the frame and nothing else.
PICTURE_SCALE = 5.0

# The fields that a look can be about besides the categories of the sheet.
TERM, FAMILY, FAULT, BAND = 'term', 'family', 'fault', 'band'
TOTAL, CODE, SEAT = 'total', 'code', 'seat'

# Why a person has to look, in one word for programs and a sentence for people.
REASONS: Mapping[str, str] = {
    'nothing': "nothing is marked on this line",
    'two': "more than one circle is marked",
    'corrected': "a mark seems to be crossed out or erased",
    'faint': "the mark is very light",
    'stray': "there is writing that is no mark",
    'stain': "the paper is stained or creased here",
    'unclear': "the mark cannot be told for sure",
    'place': "the page is bent here, so that the line could be mistaken",
    'sum': "the marks add up to something the sheet does not allow",
    'total': "the written total is not the sum of the marks",
    'written': "this is written by hand, for a person to read",
}


@dataclass(frozen=True, slots=True)
class Look:
    """One thing on a page that a person must decide.

    `field` is a category's key, or one of `term`, `family`, `fault`, `band` (then `about` says
    which box), `total`, `code` or `seat`. `choices` are what it may be, likeliest first: marks,
    1 or 0 for a box, a total, a code or a seat; there may be none. `area` is the part of the
    frame to show, in millimetres.
    """

    field: str
    reason: str
    area: Rectangle
    about: str = ''
    choices: tuple[float | str, ...] = ()


@dataclass(frozen=True, slots=True)
class PourReading:
    """What one block of a page says about one pour.

    `place` counts the blocks from 1, `position` the evening. `marks` has every category; None
    where nothing is marked or a person must decide, which `looks` then says. `confidence` is the
    chance from 0 to 1 that each accepted mark is what the taster meant. Terms, families and
    faults are keys of the sheet, `finish_band` is a band's label. `total_read` and
    `seconds_read` are handwriting as far as it could be read: to raise doubt, never a mark.
    `is_empty`: no mark, no tick, no number is on it, as for a wine that was not tasted.
    """

    place: int
    code: str
    position: int | None
    marks: Mapping[str, float | None]
    confidence: Mapping[str, float]
    terms: tuple[str, ...] = ()
    families: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    finish_band: str = ''
    total_read: float | None = None
    seconds_read: int | None = None
    looks: tuple[Look, ...] = ()
    is_empty: bool = False


@dataclass(frozen=True, slots=True)
class PageReading:
    """A page that is known to belong to the plan, and what stands on it.

    `payload` are the 24 digits, `seat` is None on a spare, `number` the seat or the number of the
    spare, `sheet` the page of that seat from 1. `taster` is the key of whoever sits there,
    '' on a spare. `looks` are about the page as a whole. `picture` is the page straightened, grey
    JPEG, `PICTURE_SCALE` pixels per millimetre of the frame.
    """

    payload: str
    site: str
    seat: int | None
    number: int
    sheet: int
    wines_a_page: int
    taster: str
    pours: tuple[PourReading, ...]
    looks: tuple[Look, ...] = ()
    picture: bytes = field(default=b'', repr=False)


@dataclass(frozen=True, slots=True)
class HeldPage:
    """A page that could not be read, in the words of a refusal, and a word for programs."""

    reason: str
    found: str
    expected: str
    remedy: str


Outcome = PageReading | HeldPage
