"""A Parquet file to its columns, as they are stored."""

from __future__ import annotations

from io import BytesIO

import polars as pl

from halfpoint.collect.table.header import MOST_COLUMNS
from halfpoint.collect.table.raw import RawTable, first_line
from halfpoint.errors import NotATable

MOST_ROWS = 200_000_000


def read_parquet(data: bytes, *, where: str) -> RawTable:
    """The columns of a Parquet file; nothing is turned into text.

    Raises:
        NotATable: not Parquet, cut short, or too many columns or rows.
    """
    try:
        width = len(pl.read_parquet_schema(BytesIO(data)))
        _check(width, "columns", MOST_COLUMNS, where)
        height = pl.scan_parquet(BytesIO(data)).select(pl.len()).collect().item()
        _check(height, "rows", MOST_ROWS, where)
        frame = pl.read_parquet(BytesIO(data))
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException, OSError) as trouble:
        raise NotATable(
            f"a Parquet file that cannot be read ({first_line(trouble)})",
            where=where,
            expected="a whole Parquet file",
            remedy="write or fetch the file again",
        ) from None
    rows = pl.int_range(2, frame.height + 2, dtype=pl.UInt32, eager=True).alias('row')
    return RawTable(frame, rows)


def _check(count: int, what: str, most: int, where: str) -> None:
    if count > most:
        raise NotATable(f"{count:,} {what}", where=where, expected=f"at most {most:,} {what}")
