"""Each wine as a small score sheet: a half-point ruler for every category."""

from __future__ import annotations

from collections.abc import Sequence

from halfpoint.estimate.findings import MarkFindings, WineFinding
from halfpoint.publish.charts.drawing import WIDTH, Datum, Drawing, Frame, fold, line
from halfpoint.publish.charts.ruler import Ruler, ruler_over, sheet_ruler
from halfpoint.publish.numbers import number
from halfpoint.publish.palette import CARD, INK, LINE, MOSS, SOFT

COLUMNS = 2
_GAP = 12.0
_CARD_WIDTH = (WIDTH - _GAP) / COLUMNS
_HEAD = 34.0
_LINE_HEIGHT = 28.0
_FOOT = 4.0
_STRIP = 420.0
_RULER_LEFT = 122.0
_RULER_RIGHT = _CARD_WIDTH - 54


class _Strokes:
    """Strokes of one kind from all cards, so that each kind is one layer."""

    def __init__(self) -> None:
        self.cards: list[Datum] = []
        self.base: list[Datum] = []
        self.long: list[Datum] = []
        self.short: list[Datum] = []
        self.filled: list[Datum] = []
        self.spans: list[Datum] = []
        self.knobs: list[Datum] = []
        self.means: list[Datum] = []
        self.names: list[Datum] = []
        self.labels: list[Datum] = []
        self.marks: list[Datum] = []
        self.numbers: list[Datum] = []


def categories_chart(wines: Sequence[str], categories: Sequence[MarkFindings]) -> Drawing:
    """A card for each wine, in the order given, two side by side."""
    card_height = _card_height(len(categories))
    strokes = _Strokes()
    for number_of_card, wine in enumerate(wines):
        row, column = divmod(number_of_card, COLUMNS)
        left, top = column * (_CARD_WIDTH + _GAP), 1 + row * (card_height + _GAP)
        strokes.cards.append(line(left + 1, top, left + _CARD_WIDTH - 1, top + card_height))
        name = fold(wine, 36, 1)[0]
        strokes.names.append({'x': left + 14, 'y': top + 20, 'text': name})
        for place, category in enumerate(categories):
            y = top + _HEAD + _LINE_HEIGHT * (place + 0.35)
            _place_category(strokes, category, wine, left, y)
    rows = -(-len(wines) // COLUMNS)
    return _drawn(strokes, rows * (card_height + _GAP) - _GAP + 2)


def cards_a_strip(categories: int) -> int:
    """How many wines' cards of so many categories are drawn as one picture, half a page high."""
    return COLUMNS * max(1, int(_STRIP // (_card_height(categories) + _GAP)))


def _card_height(categories: int) -> float:
    return _HEAD + _LINE_HEIGHT * categories + _FOOT


def _place_category(
    strokes: _Strokes, category: MarkFindings, wine: str, left: float, y: float
) -> None:
    frame = Frame(category_ruler(category), left + _RULER_LEFT, left + _RULER_RIGHT)
    strokes.base.append(line(frame.left, y, frame.right, y))
    strokes.long += [line(frame.at(v), y - 5, frame.at(v), y + 5) for v in frame.ruler.long]
    strokes.short += [line(frame.at(v), y - 3, frame.at(v), y + 3) for v in frame.ruler.short]
    label = fold(category.label, 18, 1)[0]
    strokes.labels.append({'x': left + 14, 'y': y, 'text': label})
    strokes.numbers += [
        {'x': frame.at(v), 'y': y + 12, 'text': text}
        for v, text in zip(frame.ruler.long, frame.ruler.labels, strict=True)
    ]
    found = next((w for w in category.wines if w.wine == wine), None)
    if found is not None and found.adjusted is not None:
        _place_mark(strokes, category, found, frame, y)
    else:
        strokes.marks.append({'x': left + _CARD_WIDTH - 14, 'y': y, 'text': "no mark"})


def category_ruler(category: MarkFindings) -> Ruler:
    """The category's ruler on the sheet; over what was found where the sheet has no top."""
    if category.top is None:
        ends = [end for wine in category.wines for end in (wine.low, wine.high, wine.adjusted)]
        return ruler_over(ends)
    lowest = min((wine.adjusted or 0.0 for wine in category.wines), default=0.0)
    return sheet_ruler(min(0.0, lowest), category.top)


def category_mean(category: MarkFindings) -> float:
    """The average score of the wines that have one; at least one has."""
    known = [wine.adjusted for wine in category.wines if wine.adjusted is not None]
    return sum(known) / len(known)


def _place_mark(
    strokes: _Strokes, category: MarkFindings, wine: WineFinding, frame: Frame, y: float
) -> None:
    adjusted = wine.adjusted or 0.0
    x = frame.at(adjusted)
    strokes.filled.append(line(frame.left, y, x, y))
    if wine.low is not None and wine.high is not None:
        strokes.spans.append(line(frame.at(wine.low), y, frame.at(wine.high), y))
    strokes.knobs.append({'x': x, 'y': y})
    strokes.means.append({'x': frame.at(category_mean(category)), 'y': y - 8})
    strokes.marks.append(
        {'x': frame.right + 40, 'y': y, 'text': number(adjusted, 2 if _is_short(category) else 1)}
    )


def _is_short(category: MarkFindings) -> bool:
    return category.top is not None and category.top <= 10


def _drawn(strokes: _Strokes, height: float) -> Drawing:
    drawing = Drawing(height)
    drawing.boxes(strokes.cards, fill=CARD, stroke=LINE, strokeWidth=1, cornerRadius=10)
    drawing.lines(strokes.base, SOFT, 1)
    drawing.lines(strokes.long, SOFT, 1.2)
    drawing.lines(strokes.short, SOFT, 0.8)
    drawing.lines(strokes.filled, MOSS, 4, strokeCap='round')
    drawing.lines(strokes.spans, INK, 1.4)
    drawing.dots(strokes.means, size=20, shape='triangle-down', fill=SOFT, stroke=SOFT)
    drawing.dots(strokes.knobs, size=62, shape='circle', fill=CARD, stroke=INK, strokeWidth=1.6)
    drawing.words(strokes.names, 13, INK, weight=600, limit=_CARD_WIDTH - 28)
    drawing.words(strokes.labels, 11, INK, limit=_RULER_LEFT - 20)
    drawing.words(strokes.marks, 12, INK, 'right', 600)
    drawing.words(strokes.numbers, 8.5, SOFT, 'center')
    return drawing
