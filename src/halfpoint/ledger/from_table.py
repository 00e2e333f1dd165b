"""From what a table gave to what the record takes, and back to a file for mending."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from halfpoint.collect.table.gather import Gathered, HeldRow
from halfpoint.ledger.records import EntryRecorded, RowHeld
from halfpoint.sheet.entry import Entry

if TYPE_CHECKING:
    from halfpoint.tasting.model import Tasting


@dataclass(frozen=True, slots=True)
class Arrivals:
    """A file's rows in the form of the record. `mended`: they are held rows come back."""

    entries: tuple[EntryRecorded, ...]
    held: tuple[RowHeld, ...]
    mended: bool


def arrivals(
    gathered: Gathered, tasting: Tasting, *, name: str, keep: Sequence[str] = ()
) -> Arrivals:
    """The rows of one file, each under the name of the file it first came in."""
    categories = tuple(tasting.sheet.categories_by_key)
    entries, held = [], []
    for row in gathered.entries.iter_rows(named=True):
        file, number = gathered.origins.get(row['row'], (name, row['row']))
        kept = {column: _kept(row[column]) for column in keep}
        entries.append(EntryRecorded(_entry(row, categories), file, number, kept))
    for out in gathered.held:
        file, number = gathered.origins.get(out.row, (name, out.row))
        held.append(RowHeld(file, number, out.field, out.found, out.expected, out.original))
    return Arrivals(tuple(entries), tuple(held), bool(gathered.origins))


def as_held_rows(rows: Sequence[RowHeld]) -> tuple[HeldRow, ...]:
    """Held records as the table side writes them."""
    return tuple(
        HeldRow(row.file, row.row, row.field, row.found, row.expected, row.original) for row in rows
    )


def name_of(path: Path, tasting: Tasting) -> str:
    """The file's name in the record: from the folder of the tasting file when below it."""
    folder, full = tasting.source.resolve().parent, path.resolve()
    return full.relative_to(folder).as_posix() if full.is_relative_to(folder) else path.as_posix()


def _entry(row: Mapping[str, Any], categories: Sequence[str]) -> Entry:
    return Entry(
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
        families=tuple(row.get('families') or ()),
        finish_band=row.get('finish_band') or '',
        own_words=tuple(row.get('own_words') or ()),
    )


def _kept(value: object) -> float | str | None:
    """A cell of a further column as the record takes it: a number, else its text."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(value) if math.isfinite(value) else None
    return None if value is None else str(value)
