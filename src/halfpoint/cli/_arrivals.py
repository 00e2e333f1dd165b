"""From what a table gave to what the record takes, and back to a file for mending."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from halfpoint.collect.table.gather import Gathered, HeldRow
from halfpoint.collect.table.held import REASON_COLUMNS
from halfpoint.collect.table.opening import open_table
from halfpoint.ledger.records import EntryRecorded, RowHeld
from halfpoint.sheet.entry import Entry

if TYPE_CHECKING:
    from halfpoint.tasting.model import Tasting

Place = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Arrivals:
    """A file's rows in the form of the record. `mended`: they are held rows come back."""

    entries: tuple[EntryRecorded, ...]
    held: tuple[RowHeld, ...]
    mended: bool


def arrivals(
    gathered: Gathered, path: Path, tasting: Tasting, *, name: str, keep: Sequence[str] = ()
) -> Arrivals:
    """The rows of one file, each under the name of the file it first came in."""
    origins = _origins(gathered, path)
    categories = tuple(tasting.sheet.categories_by_key)
    entries = [
        replace(_entry_recorded(row, categories, keep), file=file, row=number)
        for row in gathered.entries.iter_rows(named=True)
        for file, number in [origins.get(row['row'], (name, row['row']))]
    ]
    held = [_row_held(row, origins.get(row.row, (name, row.row))) for row in gathered.held]
    return Arrivals(tuple(entries), tuple(held), bool(origins))


def as_held_rows(rows: Sequence[RowHeld]) -> tuple[HeldRow, ...]:
    """Held records as the table side writes them."""
    return tuple(
        HeldRow(row.file, row.row, row.field, row.found, row.expected, row.original)
        for row in rows
    )


def name_of(path: Path, tasting: Tasting) -> str:
    """The file's name in the record: from the folder of the tasting file when below it."""
    folder, full = tasting.source.resolve().parent, path.resolve()
    return full.relative_to(folder).as_posix() if full.is_relative_to(folder) else path.as_posix()


def _origins(gathered: Gathered, path: Path) -> dict[int, Place]:
    """Row of a held file → file and row that it was held from; empty for any other file."""
    frame, rows = _with_reasons(gathered, path)
    if frame is None:
        return {}
    origins = {}
    for number, file, row in zip(rows, frame['file'], frame['row'], strict=True):
        if str(file or '').strip() and str(row or '').strip().isdecimal():
            origins[number] = (str(file).strip(), int(str(row).strip()))
    return origins


def _with_reasons(gathered: Gathered, path: Path) -> tuple[Any, Sequence[int]]:
    columns = {use.column for use in gathered.account}
    if not columns.issuperset(REASON_COLUMNS):
        return None, ()
    table = open_table(path, frozenset(use.column for use in gathered.account)).table
    return table.frame, table.rows.to_list()


def _entry_recorded(
    row: Mapping[str, Any], categories: Sequence[str], keep: Sequence[str]
) -> EntryRecorded:
    entry = Entry(
        taster=row['taster'],
        wine=row['wine'],
        marks={key: row[key] for key in categories},
        total=row['total'],
        site=row.get('site'),
        position=row.get('position'),
        code=row.get('code'),
        terms=tuple(row.get('terms') or ()),
        faults=tuple(row.get('faults') or ()),
        finish_seconds=row.get('finish_seconds'),
        remark=row.get('remark') or '',
        pour=row.get('pour'),
    )
    return EntryRecorded(entry, covariates={name: row[name] for name in keep})


def _row_held(row: HeldRow, place: Place) -> RowHeld:
    original = {
        column: cell
        for column, cell in row.original.items()
        if cell and column not in REASON_COLUMNS
    }
    file, number = place
    return RowHeld(file, number, row.field, row.found, row.expected, original)
