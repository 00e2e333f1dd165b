"""The guide as it is set, on paper and in the app: numbers written, and the drawings' rulers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from halfpoint.publish.charts.ruler import Ruler, ruler_over, sheet_ruler
from halfpoint.sheet.words import say_number, say_step
from halfpoint.teach.guide.said import Band, Example, Guide, Line, Stage

_CLOCK_PAST = 1.5


def shown(guide: Guide) -> dict[str, Any]:
    """The guide as plain data, ready to be set: the same for the pages and for the app."""
    return asdict(guide) | {
        'kicker': f"Score sheet: {guide.sheet}",
        'lead': _lead(guide),
        'lines': sum(len(stage.lines) for stage in guide.stages),
        'clock': _clock(guide),
        'stages': [_stage(stage) for stage in guide.stages],
        'examples': list(_examples(guide)),
    }


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
