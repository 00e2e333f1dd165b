"""Held rows: told back, written out for mending, and counted by reason."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from io import SEEK_END, StringIO
from pathlib import Path

from halfpoint.collect.table.objections import Objection
from halfpoint.collect.table.raw import REASON_COLUMNS, HeldRow, RawTable, cell_text
from halfpoint.collect.table.shape import Layout, Pours
from halfpoint.errors import NothingAccepted
from halfpoint.writing import write_text_safely

# What an expectation says of its own row only: a nearest name, a sum.
_OWN_WORDS = re.compile(
    r"; did you mean '.*?'\?|; likely [0-9]+( \(position .*?\))?|\S+, (?=the sum of the marks)"
)


def held_rows(
    raw: RawTable, layout: Layout, pours: Pours, reasons: Mapping[int, list[Objection]], where: str
) -> tuple[HeldRow, ...]:
    """One held row for each pour that something is held against, with all of it.

    Those that did not even fit under the header are among them; in the order of the file.
    """
    if not reasons:
        return raw.held
    origin = pours.origin[list(reasons)]
    records = raw.frame[origin].to_dicts()
    rows = raw.rows[origin].to_list()
    held = (
        HeldRow(
            file=where,
            row=row,
            field=_all_of(o.field for o in objections),
            found=_all_of(o.found for o in objections),
            expected=_all_of(o.expected for o in objections),
            original=_original(record, layout, pours, index),
        )
        for (index, objections), record, row in zip(reasons.items(), records, rows, strict=True)
    )
    return tuple(sorted((*raw.held, *held), key=lambda row: row.row))


def _all_of(words: Iterable[str]) -> str:
    return '; '.join(dict.fromkeys(words))


def _original(
    record: Mapping[str, object], layout: Layout, pours: Pours, index: int
) -> dict[str, str]:
    """What the row said; of a wide row, only the block that is held."""
    if pours.wines is None:
        return {column: cell_text(cell) for column, cell in record.items()}
    block = set(layout.blocks[pours.wines[index]].values())
    others = {c for parts in layout.blocks.values() for c in parts.values()} - block
    return {c: '' if c in others else cell_text(cell) for c, cell in record.items()}


def held_text(held: Sequence[HeldRow]) -> str:
    """Held rows as CSV: their own columns, then why each is held.

    Mended, the file can be brought in like any other: the reasons are not read.
    """
    own = list(dict.fromkeys(column for row in held for column in row.original))
    # Spreadsheet programs take UTF-8 for UTF-8 when it begins with a byte-order mark.
    text = StringIO('\ufeff', newline='')
    text.seek(0, SEEK_END)
    writer = csv.writer(text)
    writer.writerow([*own, *REASON_COLUMNS])
    for row in held:
        reason = (row.file, row.row, row.field, row.found, row.expected)
        writer.writerow([*(row.original.get(column, '') for column in own), *reason])
    return text.getvalue()


def write_held(held: Sequence[HeldRow], path: Path) -> None:
    """Write held rows as CSV, whole or not at all; see `held_text`.

    Raises:
        DiskFull, OutputError: the file could not be written.
    """
    write_text_safely(Path(path), held_text(held))


def commonest_reasons(held: Sequence[HeldRow], most: int = 3) -> list[tuple[str, int]]:
    """The reasons for which most rows are held, in words, with their counts."""
    return Counter(map(_reason, held)).most_common(most)


def _reason(row: HeldRow) -> str:
    """Why a row is held, in the words that other rows held for the same share with it."""
    expected = _OWN_WORDS.sub('', row.expected)
    return f"{row.field.replace('_', ' ')}: expected {expected}"


def nothing_accepted(held: Sequence[HeldRow], where: str) -> NothingAccepted:
    """The refusal for a table of which every row is held, with the commonest reasons."""
    reasons = '; '.join(f"{count:,} × {reason}" for reason, count in commonest_reasons(held))
    return NothingAccepted(
        f"no row that can be accepted ({len(held):,} held): {reasons}",
        where=where,
        expected="at least one row that fits the score sheet",
        remedy="see the held rows, or say what the columns are with --map role=column",
    )
