"""The marks of each row as numbers, and which of them the sheet does not allow."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from halfpoint.collect.table.arrays import Floats, Mask
from halfpoint.collect.table.marktext import numbers_of
from halfpoint.collect.table.objections import Objection, object_to
from halfpoint.collect.table.raw import cell_text, shorten
from halfpoint.collect.table.shape import Pours
from halfpoint.collect.table.words import plain
from halfpoint.sheet.form import Category, Sheet
from halfpoint.sheet.validity import (
    MarkFault,
    expected_mark,
    mark_faults,
    total_faults,
    total_of,
)
from halfpoint.sheet.words import say_number


@dataclass(frozen=True, slots=True)
class Marks:
    """Mark columns by name (categories and 'total', or 'total' alone), and objections."""

    columns: Mapping[str, Floats]
    objections: tuple[Objection, ...]


def marks_of(pours: Pours, sheet: Sheet | None, mark: str | None, roles: tuple[str, ...]) -> Marks:
    """The marks of every row, judged by the sheet's own rule where there is a sheet."""
    if 'mark' in roles:
        column = pours.columns['mark']
        rule = rule_for(sheet, mark)
        values, objections = _judged(column, mark or 'total', rule)
        return Marks({'total': values}, tuple(objections))
    if sheet is None:
        return Marks({}, ())
    return _by_category(pours, sheet)


def rule_for(sheet: Sheet | None, mark: str | None) -> Category | None:
    """The rule for a single mark: the category it names, else the sheet's total."""
    if sheet is None:
        return None
    for category in sheet.categories:
        if mark and plain(mark) in (plain(category.key), plain(category.label)):
            return category
    steps = [category.step * category.weight for category in sheet.categories]
    step = min(steps)
    if any(abs(each / step - round(each / step)) > 1e-9 for each in steps):
        return None
    return Category(key='whole', label="Total", top=sheet.top, lowest=sheet.lowest, step=step)


def _by_category(pours: Pours, sheet: Sheet) -> Marks:
    columns: dict[str, Floats] = {}
    objections: list[Objection] = []
    for category in sheet.categories:
        values, objected = _judged(pours.columns[category.key], category.key, category)
        columns[category.key] = values
        objections += objected
    columns['total'] = total_of(sheet, columns)
    if 'written_total' in pours.columns:
        objections += _wrong_sums(pours.columns['written_total'], columns['total'])
    return Marks(columns, tuple(objections))


def _judged(column: pl.Series, field: str, rule: Category | None) -> tuple[Floats, list[Objection]]:
    values, unread = numbers_of(column)
    faulty = mark_faults(values, rule) != MarkFault.NONE if rule else ~np.isfinite(values)
    expected = expected_mark(rule) if rule else "a number"
    said = said_in(column)
    return values, object_to(
        faulty | unread, field, said, lambda index: expected + _hint(said(index))
    )


def _wrong_sums(column: pl.Series, total: Floats) -> list[Objection]:
    written, unread = numbers_of(column)
    said = said_in(column)
    wrong: Mask = total_faults(total, written)
    return [
        *object_to(unread, 'written_total', said, "the sum of the marks, or nothing"),
        *object_to(
            wrong & ~unread,
            'written_total',
            said,
            lambda index: f"{say_number(float(total[index]))}, the sum of the marks",
        ),
    ]


def said_in(column: pl.Series) -> Callable[[int], str]:
    """A function from row to what its cell says, short enough for a message."""

    def said(index: int) -> str:
        return shorten(cell_text(column[index])) or "nothing"

    return said


def _hint(found: str) -> str:
    looks_dated = len(found) >= 10 and found[4:5] == '-' and found[7:8] == '-'
    return " (a spreadsheet may have made a date of it)" if looks_dated else ""
