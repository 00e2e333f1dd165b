"""What a person types at a doubtful mark, and what is meant by it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from halfpoint.sheet.words import fold

if TYPE_CHECKING:
    from halfpoint.sheet.form import Sheet

Value = float | str | None
BOXES = frozenset({'term', 'family', 'fault', 'band'})
YES = frozenset({'y', 'yes', 'x', '1', 'ticked', '+'})
NO = frozenset({'n', 'no', '0', '-', '–', 'not ticked'})
NOTHING = frozenset({'-', '–', 'nothing', 'none'})
COMMANDS = {
    's': 'skip', 'skip': 'skip',
    'b': 'back', 'back': 'back',
    'w': 'whole', 'whole': 'whole',
    'q': 'quit', 'quit': 'quit',
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Decided:
    """A value: a mark, 1 or 0 for a box, a code or seat; None for nothing marked."""

    value: Value


@dataclass(frozen=True, slots=True)
class Wish:
    """`skip`, `back`, `whole` or `quit`."""

    word: str


@dataclass(frozen=True, slots=True)
class Unclear:
    """What was typed means nothing here; `expected` says what would."""

    expected: str


Answer = Decided | Wish | Unclear


def understand(typed: str, *, field: str, choices: Sequence[float | str], sheet: Sheet) -> Answer:
    """What is meant by what was typed.

    Enter alone takes the first choice.

    Args:
        typed: a line, without its end.
        field: what it is about, as in `Look.field`.
        choices: what it may be, likeliest first.
        sheet: the score sheet, for what a mark may be.
    """
    said = fold(typed)
    if said in COMMANDS:
        return Wish(COMMANDS[said])
    if not said:
        return Decided(choices[0]) if choices else Unclear(_expected(field, sheet))
    if field in BOXES:
        return _box(said)
    if said in NOTHING:
        return Decided(None)
    return _value(typed.strip(), field, sheet)


def say_choice(value: Value, field: str) -> str:
    """A choice in words: `4½`, `ticked`, `483`."""
    from halfpoint.ledger import look_words

    return look_words.say_choice(value, field)


def _box(said: str) -> Answer:
    if said in YES:
        return Decided(1.0)
    return Decided(0.0) if said in NO else Unclear("y when it is ticked, n when it is not")


def _value(typed: str, field: str, sheet: Sheet) -> Answer:
    from halfpoint.collect.table.marktext import read_mark
    from halfpoint.sheet.validity import MarkFault, mark_fault

    if field in {'code', 'seat'}:
        return Decided(typed)
    number = read_mark(typed)
    if number is None:
        return Unclear(_expected(field, sheet))
    if field == 'total':
        return Decided(number)
    if mark_fault(number, sheet.category(field)) is not MarkFault.NONE:
        return Unclear(_expected(field, sheet))
    return Decided(number)


def _expected(field: str, sheet: Sheet) -> str:
    from halfpoint.sheet.validity import expected_mark

    if field in sheet.categories_by_key:
        return f"{expected_mark(sheet.category(field))}, or - for nothing marked"
    words = {'code': "the code, three digits", 'seat': "the number of the seat"}
    return words.get(field, "the written total, or - when none is written")
