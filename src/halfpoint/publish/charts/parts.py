"""The parts of a whole as one bar from end to end, each piece with its name."""

from __future__ import annotations

from collections.abc import Sequence

from halfpoint.publish.charts.drawing import WIDTH, Drawing, line
from halfpoint.publish.numbers import percent
from halfpoint.publish.palette import INK, LINE, MOSS

_TOP, _FLOOR, _HEIGHT = 20.0, 42.0, 62.0
_LETTER = 6.3


def parts_chart(parts: Sequence[tuple[str, float]]) -> Drawing:
    """Parts that add up to 1, in the order given, named below and above the bar in turn."""
    pieces, texts = [], []
    start, ends = 0.0, [0.0, 0.0]
    for place, (name, share) in enumerate(parts):
        left, right = start * WIDTH, (start + share) * WIDTH
        pieces.append(line(left, _TOP, right, _FLOOR))
        text, above = f"{name} {percent(share)}", place % 2
        x = max(min(left, WIDTH - len(text) * _LETTER), ends[above])
        ends[above] = x + len(text) * _LETTER + 10
        texts.append({'x': x, 'y': _TOP - 10 if above else _FLOOR + 11, 'text': text})
        start += share
    drawing = Drawing(_HEIGHT)
    drawing.boxes(pieces[0::2], color=MOSS)
    drawing.boxes(pieces[1::2], color=LINE)
    drawing.words(texts, 11.5, INK)
    return drawing
