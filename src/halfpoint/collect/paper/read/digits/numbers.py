"""Cells side by side: a written total, a code, a seat, seconds."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Hashable, Sequence
from itertools import product
from math import prod
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.digits.cells import cell_chances
from halfpoint.collect.paper.read.digits.network import KINDS
from halfpoint.collect.paper.read.digits.shape import Floats

# A number or code below this chance is not told.
SURE = 0.9

# What is weighed for each cell: so many texts at most, and none of a smaller chance.
_MOST, _LEAST = 3, 0.01
# What cannot be is left out of account, but only while so much of the chance remains.
_REMAINS = 0.5
_NUMBER = re.compile(r'(?P<whole>\d*)(?:(?P<half>\.?½)|\.(?P<part>\d*))?')
_TEXTS = KINDS[: KINDS.index('?')]

Meaning = TypeVar('Meaning', bound=Hashable)


def read_number(
    cells: Sequence[NDArray[np.float32]], highest: float | None = None
) -> tuple[float | None, float]:
    """The number written over some cells, and the chance that this is right.

    Each of `cells` is as for `read_cell`. Blank cells before and after the number do not count.
    A half is `½`, `.5` in one cell, or a dot and a five. No number is above `highest`, where that
    is given; figures that come to more and end in 5 are taken as tenths: the dot of a half may
    stand between two cells. (None, chance) with a chance of SURE or more
    means that nothing is written, with less that it cannot be told.
    """
    return _told(cell_chances(cells), lambda text: _value(text, highest))


def read_digits(cells: Sequence[NDArray[np.float32]]) -> tuple[str | None, float]:
    """The digits written over some cells, and the chance that they are right.

    As `read_number`, for digits alone, which keep their leading zeros.
    """
    return _told(cell_chances(cells), lambda text: text if re.fullmatch(r'[0-9]+', text) else None)


def _told(
    chances: Floats, meaning_of: Callable[[str], Meaning | None]
) -> tuple[Meaning | None, float]:
    """The likeliest meaning of the cells, if it is likely enough; a row of chances a cell.

    The chances of all texts that mean the same add up (`16` and `16.`). Those of texts that mean
    nothing are left out, those of ink that is no digit are not.
    """
    by_meaning: dict[Meaning | None, float] = defaultdict(float)
    impossible = 0.0
    for texts in product(*(_likely(row) for row in chances)):
        text = ''.join(each or ' ' for each, _ in texts).strip()
        chance = prod(chance for _, chance in texts)
        meaning = meaning_of(text) if text else None
        if text and meaning is None:
            impossible += chance
        else:
            by_meaning[meaning] += chance
    if not by_meaning:
        return None, 0.0
    best = max(by_meaning, key=lambda meaning: by_meaning[meaning])
    chance = min(1.0, by_meaning[best] / max(1.0 - impossible, _REMAINS))
    return (best if chance >= SURE else None), chance


def _likely(chances: Floats) -> list[tuple[str, float]]:
    order = np.argsort(-chances[: len(_TEXTS)], kind='stable')[:_MOST]
    return [(_TEXTS[n], float(chances[n])) for n in order if chances[n] >= _LEAST]


def _value(text: str, highest: float | None) -> float | None:
    found = _NUMBER.fullmatch(text)
    if found is None or not any(found[name] for name in ('whole', 'half', 'part')):
        return None
    whole, part = found['whole'] or '0', found['part'] or '0'
    value = float(f'{whole}.{part}') + 0.5 * bool(found['half'])
    if highest is None or value <= highest:
        return value
    tenths = value / 10
    if re.fullmatch(r'[0-9]+5', text) and tenths <= highest:
        return tenths
    return None
