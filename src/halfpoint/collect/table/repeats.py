"""Rows that repeat a pour already told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

from halfpoint.collect.table.arrays import Codes, Floats, Indices
from halfpoint.collect.table.names import Names, names_of
from halfpoint.collect.table.objections import Objection

# What tells two pours of one wine to one taster apart.
TELLING = ('position', 'code', 'pour')


@dataclass(frozen=True, slots=True)
class Repeats:
    """What is held against rows that repeat a pour, or the note that says they may."""

    objections: tuple[Objection, ...] = ()
    notes: tuple[str, ...] = ()


def look_for_repeats(
    names: Mapping[str, Names],
    columns: Mapping[str, pl.Series],
    marks: Mapping[str, Floats],
    standing: Indices,
    rows: pl.Series,
    *,
    single_mark: bool,
) -> Repeats:
    """Which standing rows repeat the pour of an earlier one.

    In a table of single marks without position, code or pour number, nothing could have
    told two pours of a wine apart, so repeated rows are taken as repeated pours.

    Args:
        names: taster, wine and, where told, site of every row.
        columns: further columns; those in `TELLING` are part of what a pour is.
        marks: mark columns, compared to tell a copy from a contradiction.
        standing: rows that nothing is held against so far.
        rows: the row in the file of every row.
        single_mark: whether the table is long and carries one mark a row.
    """
    key = _identity(names, columns)
    key = key if standing.size == key.size else key[standing]
    count = standing.size - pl.Series(key).n_unique()
    if not count:
        return Repeats()
    if single_mark and not any(name in columns for name in TELLING):
        counted = "1 row repeats" if count == 1 else f"{count:,} rows repeat"
        return Repeats(notes=(f"{counted} a taster and wine: taken as repeated pours",))
    return Repeats(tuple(_objections(key, standing, marks, rows)))


def _identity(names: Mapping[str, Names], columns: Mapping[str, pl.Series]) -> Codes:
    """One number per row, equal where taster, wine, site and pour are."""
    parts = [part.codes for part in names.values()]
    parts += [_told(columns[name]) for name in TELLING if name in columns]
    key, reach = parts[0] + 1, _width(parts[0])
    for codes in parts[1:]:
        width = _width(codes)
        if reach * width >= 2**62:
            key = pl.Series(key).rank('dense').cast(pl.Int64).to_numpy()
            reach = int(key.max(initial=0)) + 1
        key = key * width + codes + 1
        reach *= width
    return key


def _told(column: pl.Series) -> Codes:
    if column.dtype.is_integer():
        return column.cast(pl.Int64).fill_null(-1).to_numpy()
    return names_of(column).codes


def _width(codes: Codes) -> int:
    return int(codes.max(initial=-1)) + 2


def _objections(
    key: Codes, standing: Indices, marks: Mapping[str, Floats], rows: pl.Series
) -> list[Objection]:
    frame = pl.DataFrame({'key': key, 'index': standing})
    first = pl.col('index').min().over('key')
    again = frame.with_columns(first=first).filter(pl.col('index') != pl.col('first'))
    objections = []
    for index, earlier in again.select('index', 'first').sort('index').iter_rows():
        same = all(mark[index] == mark[earlier] for mark in marks.values())
        row = rows[earlier]
        found = f"the same as row {row}" if same else f"another mark for the pour in row {row}"
        objections.append(Objection(index, 'pour', found, "one row for each taster, wine and pour"))
    return objections
