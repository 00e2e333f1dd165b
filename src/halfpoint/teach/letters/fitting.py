"""How large a letter is set: the largest size at which it should fit its page.

Setting a page is what takes time, so the size is estimated from the length of the texts first.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil

from halfpoint.teach.letters.said import Letter, Passage

SIZES = (10.2, 9.9, 9.6, 9.3, 9.0, 8.7, 8.4, 8.1, 7.8, 7.2, 6.6)
MOST_ROWS = 30
# Heights and widths in points, measured on set pages; what is estimated comes out 4 % too tall.
_TALL = {'a4': 772.0, 'us-letter': 722.0}
_WIDE = {'a4': 498.0, 'us-letter': 515.0}
_GUTTER, _LEVEL_CHART, _YEAR, _BARS, _NEXT = 20.0, 84.0, 13.0, 112.0, 26.0
_LETTER_WIDTH, _LINE, _BETWEEN = 0.49, 1.31, 0.45


def sizes_to_try(letter: Letter, paper: str) -> tuple[float, ...]:
    """Type sizes in points, the first at which the letter should fit and then smaller ones."""
    fitting = (n for n, size in enumerate(SIZES) if height(letter, paper, size) <= _TALL[paper])
    return SIZES[next(fitting, len(SIZES) - 1) :]


def height(letter: Letter, paper: str, size: float) -> float:
    """About how tall a letter is, in points."""
    wide = _WIDE[paper]
    column = (wide - _GUTTER) / 2
    cut = left_passages(letter)
    left, right = letter.passages[:cut], letter.passages[cut:]
    beside = column if right else wide
    level = 0.0
    if letter.level is not None:
        level = _LEVEL_CHART + 2.3 * size + _YEAR * len(letter.level.before)
    columns = max(_passages(left, beside, size) + level, _passages(right, column, size))
    return (
        5.4 * size
        + _sentences(letter.opening, wide, 1.06 * size)
        + 1.3 * size
        + _chart(letter, size)
        + (_BARS if letter.bars is not None else 0.0)
        + columns
        + (_NEXT + _sentences([letter.next_time], wide - 22, size) if letter.next_time else 0.0)
        + 3.8 * size
    )


def left_passages(letter: Letter) -> int:
    """How many passages stand on the left, beside the rest."""
    if len(letter.passages) < 2:
        return len(letter.passages)
    return 1 if letter.level is not None else (len(letter.passages) + 1) // 2


def row_height(rows: int) -> float:
    """Height of a row of the chart in points, less where there are many."""
    return min(24.0, max(12.0, 240.0 / max(1, rows)))


def _chart(letter: Letter, size: float) -> float:
    shown = min(MOST_ROWS, len(letter.rows))
    if not shown:
        return 0.0
    more = 1.5 * size if len(letter.rows) > shown else 0.0
    return shown * row_height(shown) + 32.0 + 2.6 * size + more


def _passages(passages: Iterable[Passage], wide: float, size: float) -> float:
    return sum(2.2 * size + _sentences(each.sentences, wide, size) for each in passages)


def _sentences(sentences: Iterable[str], wide: float, size: float) -> float:
    most = wide / (_LETTER_WIDTH * size)
    return sum((ceil(len(each) / most) * _LINE + _BETWEEN) * size for each in sentences if each)
