"""A table as it stands in the file, before any meaning is given to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

# The columns that say why a row is held, last in every file of held rows.
REASON_COLUMNS = ('file', 'row', 'field', 'found', 'expected')
REASON_MARK = 'why held: '


@dataclass(frozen=True, slots=True)
class HeldRow:
    """A row received but not accepted; `original` is what the row said, by column."""

    file: str
    row: int
    field: str
    found: str
    expected: str
    original: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class RawTable:
    """The columns under their written names, and the row each record has in the file.

    `rows` counts as a person does: the first row of the file is 1, blank rows count.
    `held` are records that do not fit under the header.
    """

    frame: pl.DataFrame
    rows: pl.Series
    held: tuple[HeldRow, ...] = ()


def as_text(column: pl.Series) -> pl.Series:
    """The column as text; text in any form as it is, nested cells as they print."""
    if column.dtype == pl.Binary:
        cells = [None if cell is None else cell.decode(errors='replace') for cell in column]
    elif column.dtype.is_nested() or column.dtype == pl.Object:
        cells = [None if cell is None else str(cell) for cell in column.to_list()]
    else:
        return column.cast(pl.String, strict=False)
    return pl.Series(column.name, cells, dtype=pl.String)


def shorten(text: str, limit: int = 60) -> str:
    """The text on one line, cut to `limit` characters."""
    line = ' '.join(text[: 4 * limit].split())
    return line if len(line) <= limit else f'{line[: limit - 1]}…'


def cell_text(cell: object) -> str:
    """A cell as a person would write it: whole numbers and days bare, nothing for none."""
    if cell is None:
        return ''
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 2**53:
        return str(int(cell))
    if isinstance(cell, pl.Series):
        return str(cell.to_list())
    if isinstance(cell, bytes):
        return cell.decode(errors='replace')
    return str(cell).removesuffix(' 00:00:00')


def first_line(trouble: BaseException) -> str:
    """What a library says is wrong, in its first line."""
    return shorten((str(trouble).splitlines() or [type(trouble).__name__])[0], 120)
