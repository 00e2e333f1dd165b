"""A text table (CSV, TSV and their kin) to its columns."""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterator, Sequence
from io import StringIO
from itertools import chain, islice

import polars as pl

from halfpoint.collect.table.decode import decode
from halfpoint.collect.table.delimiter import declared_delimiter, find_delimiter
from halfpoint.collect.table.header import LOOKED_AT, find_header
from halfpoint.collect.table.raw import HeldRow, RawTable, shorten
from halfpoint.errors import NotATable

_CHUNK = 50_000


def read_text(data: bytes, known: Collection[str], *, where: str) -> RawTable:
    """The table that the bytes of a text file hold, every cell as text.

    Records with fewer fields than the header are filled up; records with more are held.

    Raises:
        NotATable: no text, an unclosed quote, a field too long, or nothing in it.
    """
    text = decode(data, where=where)
    first = text[:80].splitlines(keepends=True)[:1]
    declared = declared_delimiter(first[0]) if first else None
    delimiter = declared or find_delimiter(StringIO(text[:200_000], newline=''))
    records = _records(text, delimiter, where)
    if declared:
        next(records, None)
    head = list(islice(records, LOOKED_AT))
    skipped = 1 if declared else 0
    header = find_header(head, known, where=where)
    below = chain(head[header.below :], records)
    return _gathered(below, header.names, skipped + header.below + 1, where)


def _records(text: str, delimiter: str, where: str) -> Iterator[list[str]]:
    reader = csv.reader(StringIO(text, newline=''), delimiter=delimiter, strict=True)
    try:
        yield from reader
    except csv.Error as trouble:
        raise NotATable(
            _in_words(str(trouble)),
            where=f"{where}, line {reader.line_num}",
            expected=f"fields parted by {delimiter!r}, closed quotes, 131,072 letters a field",
            remedy="open the file in a text editor and look at that line",
        ) from None


def _in_words(trouble: str) -> str:
    if 'unexpected end' in trouble:
        return "a quote that is opened and never closed"
    if 'field larger' in trouble:
        return "a field far too long for a mark or a name"
    return f"a field that cannot be read ({trouble})"


def _gathered(
    records: Iterator[list[str]], names: Sequence[str], first_row: int, where: str
) -> RawTable:
    width = len(names)
    schema: dict[str, type[pl.String]] = dict.fromkeys(names, pl.String)
    frames = [pl.DataFrame(schema=schema)]
    numbers = [pl.Series('row', [], dtype=pl.UInt32)]
    held: list[HeldRow] = []
    row = first_row
    while chunk := list(islice(records, _CHUNK)):
        kept, kept_rows = [], []
        for record in chunk:
            fitted = record if len(record) == width else _fitted(record, width)
            if fitted is None:
                held.append(_ragged(record, names, row, where))
            elif any(fitted):
                kept.append(fitted)
                kept_rows.append(row)
            row += 1
        frames.append(pl.DataFrame(kept, schema=schema, orient='row'))
        numbers.append(pl.Series('row', kept_rows, dtype=pl.UInt32))
    return RawTable(pl.concat(frames), pl.concat(numbers), tuple(held))


def _fitted(record: list[str], width: int) -> list[str] | None:
    if any(record[width:]):
        return None
    return record[:width] + [''] * (width - len(record))


def _ragged(record: list[str], names: Sequence[str], row: int, where: str) -> HeldRow:
    width = len(names)
    over = {f'field {width + k}': cell for k, cell in enumerate(record[width:], start=1)}
    return HeldRow(
        file=where,
        row=row,
        field="the whole row",
        found=f"{len(record)} fields ({shorten(' | '.join(record))})",
        expected=f"{width} fields, as in the header",
        original=dict(zip(names, record, strict=False)) | over,
    )
