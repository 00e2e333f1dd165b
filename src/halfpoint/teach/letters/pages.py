"""A letter on its page."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Literal

from halfpoint.publish.charts.ruler import Ruler, ruler_over, sheet_ruler
from halfpoint.publish.handouts.typeset import typeset
from halfpoint.publish.numbers import mark, number, plural
from halfpoint.publish.words import spoken
from halfpoint.sheet.form import Sheet
from halfpoint.teach.guide.pages import PAGES, pages_in
from halfpoint.teach.letters.fitting import MOST_ROWS, left_passages, row_height, sizes_to_try
from halfpoint.teach.letters.said import Letter, Row
from halfpoint.typeface.choosing import SHIPPED, Typefaces

Paper = Literal['a4', 'us-letter']

CARE = "Taste a little, spit, eat and drink water, and do not drive afterwards."
_KICKERS = {
    'taster': "A letter to a taster",
    'host': "A letter to a host",
    'maker': "A letter to a maker",
}


@dataclass(frozen=True, slots=True)
class Frame:
    """What all letters of one run share."""

    title: str
    invented: bool
    sheet: Sheet
    paper: Paper = 'a4'
    typefaces: Typefaces = SHIPPED


def letter_pdf(letter: Letter, frame: Frame) -> bytes:
    """The letter as a PDF of one page, in letters as large as fit it."""
    data = _data(letter, frame)
    made = b''
    for size in sizes_to_try(letter, frame.paper):
        made = typeset('letter', data | {'size': size}, frame.typefaces, folder=PAGES)
        if pages_in(made) == 1:
            break
    return made


def _data(letter: Letter, frame: Frame) -> dict[str, Any]:
    shown = letter.rows[:MOST_ROWS]
    more = len(letter.rows) - len(shown)
    return {
        'paper': frame.paper,
        'running': '',
        'invented': frame.invented,
        'foot': _foot(letter),
        'heading': f"{letter.greeting} {frame.title}",
        'kicker': f"{_KICKERS[letter.kind]} · {frame.title}",
        'letter': asdict(letter) | {'rows': [_row(letter, row) for row in shown]},
        'knob': _knob(letter),
        'scored': any(row.score is not None for row in letter.rows),
        'ruler': asdict(_ruler(letter, frame.sheet)),
        'row_height': row_height(len(shown)),
        'more': f"and {plural(more, 'wine')} more" if more else '',
        'level_ruler': asdict(_level_ruler(letter)),
        'bars_ruler': asdict(sheet_ruler(frame.sheet.lowest, frame.sheet.top)),
        'bars_said': _bars_said(letter),
        'left': left_passages(letter),
        'care': CARE,
    }


def _foot(letter: Letter) -> str:
    return spoken(letter.site) if letter.site else spoken(letter.name)


def _row(letter: Letter, row: Row) -> dict[str, Any]:
    return {
        'wine': spoken(row.wine),
        'marks': [{'at': m, 'said': _said(letter, m)} for m in row.marks],
        'score': row.score,
        'low': row.low,
        'high': row.high,
        'ruler': None if row.scale is None else asdict(sheet_ruler(*row.scale)),
    }


def _said(letter: Letter, value: float) -> str:
    """A taster's mark with its half, an average with one decimal."""
    return mark(value) if letter.kind == 'taster' else number(value)


def _ruler(letter: Letter, sheet: Sheet) -> Ruler:
    """Over all that is drawn, within the sheet."""
    drawn = [
        value
        for row in letter.rows
        for value in (*row.marks, row.score, row.low, row.high)
        if value is not None
    ]
    if not drawn:
        return sheet_ruler(sheet.lowest, sheet.top)
    return ruler_over([max(sheet.lowest, min(sheet.top, value)) for value in drawn])


def _level_ruler(letter: Letter) -> Ruler:
    level = letter.level
    if level is None:
        return ruler_over([], around=0.0)
    before = [end for year in level.before for end in (year.low, year.high)]
    return ruler_over([level.low, level.high, *level.edges, *before], around=0.0)


def _knob(letter: Letter) -> str:
    """A mark from the letter, to say what a knob is."""
    return next((_said(letter, m) for row in letter.rows for m in row.marks), "")


def _bars_said(letter: Letter) -> str:
    return "" if letter.bars is None else f"{plural(sum(letter.bars.counts), 'mark')}, in points"
