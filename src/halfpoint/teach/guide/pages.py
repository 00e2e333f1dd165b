"""The guide on paper: one page, or four."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any, Literal

from halfpoint import __version__
from halfpoint.publish.charts.ruler import Ruler, ruler_over, sheet_ruler
from halfpoint.publish.handouts.typeset import typeset
from halfpoint.sheet.words import say_number, say_step
from halfpoint.teach.guide.said import Band, Example, Guide, Line, Stage
from halfpoint.typeface.choosing import SHIPPED, Typefaces

Paper = Literal['a4', 'us-letter']
Length = Literal['one', 'four']

PAGES = Path(__file__).parent.parent / 'pages'
SIZES = {
    'one': (9.6, 9.2, 8.8, 8.4, 8.0, 7.6),
    'four': (11.4, 11.0, 10.6, 10.2, 9.8, 9.4, 9.0, 8.6, 8.2),
}
MOST = {'one': 1, 'four': 4}
_CLOCK_PAST = 1.5
_PAGE = re.compile(rb'/Type\s*/Page\b')


def guide_pdf(
    guide: Guide,
    length: Length,
    *,
    paper: Paper = 'a4',
    title: str = '',
    invented: bool = False,
    typefaces: Typefaces = SHIPPED,
) -> bytes:
    """The guide as a PDF, in letters as large as fit its pages.

    A sheet with very much to say may take a page more than its name promises.

    Args:
        guide: what is set.
        length: `'one'` page or `'four'`.
        paper: the paper to print on.
        title: of the tasting, where there is one.
        invented: whether that tasting is made up.
        typefaces: what it is set in.
    """
    data = _data(guide, length, paper, title, invented)
    made = b''
    for size in SIZES[length]:
        made = typeset('guide', data | {'size': size}, typefaces, folder=PAGES)
        if pages_in(made) <= MOST[length]:
            break
    return made


def pages_in(pdf: bytes) -> int:
    """How many pages a PDF as Typst writes it has."""
    return len(_PAGE.findall(pdf))


def _data(guide: Guide, length: Length, paper: Paper, title: str, invented: bool) -> dict[str, Any]:
    return {
        'paper': paper,
        'length': length,
        'running': title or "How to taste",
        'invented': invented,
        'foot': f"Score sheet: {guide.sheet}. halfpoint {__version__}",
        'guide': asdict(guide) | {
            'kicker': f"Score sheet: {guide.sheet}",
            'lead': _lead(guide),
            'lines': sum(len(stage.lines) for stage in guide.stages),
            'clock': _clock(guide),
            'stages': [_stage(stage) for stage in guide.stages],
            'examples': list(_examples(guide)),
        },
    }  # fmt: skip


def _lead(guide: Guide) -> str:
    stages = ', '.join(stage.label.lower() for stage in guide.stages[:-1])
    lines = [line for stage in guide.stages for line in stage.lines]
    steps = {line.step for line in lines}
    marks = f"Marks go in {say_step(steps.pop())}. " if len(steps) == 1 else ""
    many = f"{len(lines)} marks make a total of {say_number(guide.top)}. " if len(lines) > 1 else ""
    return (
        f"Take the same steps with every wine: {stages}, and only then decide. {many}{marks}"
        "There are no right answers. Mark what is in your glass."
    )


def _stage(stage: Stage) -> dict[str, Any]:
    return asdict(stage) | {'lines': [_line(line) for line in stage.lines]}


def _line(line: Line) -> dict[str, Any]:
    bands = list(_in_rows(line.bands))
    return {
        'label': line.label,
        'asks': line.question,
        'out-of': f"{_between(line.lowest, line.top)}, in {say_step(line.step)}",
        'ruler': _ruler(sheet_ruler(line.lowest, line.top)),
        'bands': bands,
        'rows': 1 + max((band['row'] for band in bands), default=0),
    }


def _in_rows(bands: tuple[Band, ...]) -> Iterator[dict[str, Any]]:
    """Bands as they are drawn: one that begins where the last one ended goes a row lower."""
    row, end = 0, float('-inf')
    for band in bands:
        row = 1 - row if band.low <= end else 0
        end = max(end, band.high)
        said = _between(band.low, band.high)
        yield {'low': band.low, 'high': band.high, 'text': band.text, 'said': said, 'row': row}


def _between(low: float, high: float) -> str:
    return say_number(low) if low == high else f"{say_number(low)} to {say_number(high)}"


def _ruler(ruler: Ruler) -> dict[str, Any]:
    return asdict(ruler)


def _clock(guide: Guide) -> dict[str, Any] | None:
    """A ruler of seconds that goes a little past the last band's beginning or end."""
    if not guide.finish:
        return None
    far = max(t.to_seconds or t.from_seconds * _CLOCK_PAST or 60.0 for t in guide.finish)
    return _ruler(ruler_over([0.0, far]))


def _examples(guide: Guide) -> Iterator[dict[str, Any]]:
    lines = {line.key: line for stage in guide.stages for line in stage.lines}
    for example in guide.examples:
        yield _example(example, lines, guide.top)


def _example(example: Example, lines: dict[str, Line], top: float) -> dict[str, Any]:
    return {
        'wine': example.wine,
        'glass': example.glass,
        'total_said': f"{say_number(example.total)} of {say_number(top)}",
        'marks': [
            {
                'label': lines[mark.key].label,
                'ruler': _ruler(sheet_ruler(lines[mark.key].lowest, lines[mark.key].top)),
                'mark': mark.mark,
                'said': say_number(mark.mark),
                'why': mark.why,
            }
            for mark in example.marks
        ],
    }
