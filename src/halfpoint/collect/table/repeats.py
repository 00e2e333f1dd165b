"""Rows that repeat a pour already told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import polars as pl

from halfpoint.collect.table.arrays import Codes, Floats, Indices
from halfpoint.collect.table.names import Names, names_of
from halfpoint.collect.table.objections import Objection

# What tells two pours of one wine to one taster apart.
TELLING = ('position', 'code', 'pour')


def pours_told_apart(columns: Mapping[str, pl.Series]) -> bool:
    """Whether the table has anything that tells two pours of a wine apart."""
    return any(name in columns for name in TELLING)


def identity(names: Mapping[str, Names], columns: Mapping[str, pl.Series]) -> Codes:
    """One number per row, equal where taster, wine, site and pour are."""
    parts = [part.codes for part in names.values()]
    parts += [_told(columns[name]) for name in TELLING if name in columns]
    key, reach = parts[0] + 1, _width(parts[0])
    for codes in parts[1:]:
        if reach * _width(codes) >= 2**62:
            key = pl.Series(key).rank('dense').cast(pl.Int64).to_numpy()
            reach = int(key.max(initial=0)) + 1
        key = key * _width(codes) + codes + 1
        reach *= _width(codes)
    return key


def _told(column: pl.Series) -> Codes:
    return column.fill_null(-1).to_numpy() if column.dtype.is_integer() else names_of(column).codes


def _width(codes: Codes) -> int:
    return int(codes.max(initial=-1)) + 2


def repeated(key: Codes, standing: Indices) -> int:
    """How many of the standing rows repeat an earlier one."""
    return standing.size - pl.Series(key[standing]).n_unique()


def object_to_repeats(
    key: Codes, standing: Indices, marks: Sequence[Floats], rows: pl.Series
) -> list[Objection]:
    """An objection to every standing row whose pour an earlier row has told."""
    if not repeated(key, standing):
        return []
    frame = pl.DataFrame({'key': key[standing], 'index': standing})
    first = pl.col('index').min().over('key')
    again = frame.with_columns(first=first).filter(pl.col('index') != pl.col('first'))
    objections = []
    for index, earlier in again.select('index', 'first').sort('index').iter_rows():
        same = all(mark[index] == mark[earlier] for mark in marks)
        row = rows[earlier]
        found = f"the same as row {row}" if same else f"another mark for the pour in row {row}"
        objections.append(
            Objection(index, 'pour', found, "one row for each taster, wine and pour")
        )
    return objections
