"""Cells side by side: a written total, a code, a seat, seconds."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import prod

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.digits.cells import Cell, read_cells

# A number or code below this chance is not told.
SURE = 0.9

_NUMBER = re.compile(r'(?P<whole>\d*)(?:(?P<half>\.?½)|\.(?P<part>\d*))?')


def read_number(
    cells: Sequence[NDArray[np.float32]], highest: float | None = None
) -> tuple[float | None, float]:
    """The number written over some cells, and the chance that this is right.

    Each of `cells` is as for `read_cell`. Blank cells before and after the number do not count.
    A half is `½`, `.5` in one cell, or a dot and a five. Figures without a dot that come to more
    than `highest` (none by default) are taken as tenths where that is a whole or a half: the dot
    may stand between two cells. (None, chance) with a chance of SURE or more means that nothing
    is written, with less that it cannot be told.
    """
    read = read_cells(cells)
    chance = _together(read)
    text = _joined(read)
    if not text:
        return None, chance
    value = _value(text, highest)
    if value is None:
        return None, 0.0
    return (value, chance) if chance >= SURE else (None, chance)


def read_digits(cells: Sequence[NDArray[np.float32]]) -> tuple[str | None, float]:
    """The digits written over some cells, and the chance that they are right.

    As `read_number`, for digits alone, which keep their leading zeros.
    """
    read = read_cells(cells)
    chance = _together(read)
    text = _joined(read)
    if not text:
        return None, chance
    if not re.fullmatch(r'[0-9]+', text):
        return None, 0.0
    return (text, chance) if chance >= SURE else (None, chance)


def _together(read: Sequence[Cell]) -> float:
    return float(prod(cell.confidence for cell in read))


def _joined(read: Sequence[Cell]) -> str:
    """The texts in a row, a space for an empty cell between others."""
    return ''.join(cell.text or ' ' for cell in read).strip()


def _value(text: str, highest: float | None) -> float | None:
    found = _NUMBER.fullmatch(text)
    if found is None or not any(found[name] for name in ('whole', 'half', 'part')):
        return None
    whole, part = found['whole'] or '0', found['part'] or '0'
    value = float(f'{whole}.{part}') + 0.5 * bool(found['half'])
    if highest is None or value <= highest:
        return value
    tenths = value / 10
    if text.isdecimal() and (2 * tenths).is_integer() and tenths <= highest:
        return tenths
    return None
