"""A Parquet file to its columns, as they are stored."""

from __future__ import annotations

from io import BytesIO

import polars as pl

from halfpoint.collect.table.header import MOST_COLUMNS
from halfpoint.collect.table.raw import RawTable
from halfpoint.errors import NotATable


def read_parquet(data: bytes, *, where: str) -> RawTable:
    """The columns of a Parquet file; nothing is turned into text.

    Raises:
        NotATable: not Parquet, cut short, or too many columns.
    """
    try:
        schema = pl.read_parquet_schema(BytesIO(data))
        if len(schema) > MOST_COLUMNS:
            raise NotATable(
                f"{len(schema):,} columns", where=where, expected=f"at most {MOST_COLUMNS:,}"
            )
        frame = pl.read_parquet(BytesIO(data))
    except (pl.exceptions.PolarsError, OSError, pl.exceptions.PanicException) as trouble:
        raise NotATable(
            f"a Parquet file that cannot be read ({str(trouble).splitlines()[0]})",
            where=where,
            expected="a whole Parquet file",
            remedy="write or fetch the file again",
        ) from None
    rows = pl.int_range(2, frame.height + 2, dtype=pl.UInt32, eager=True).alias('row')
    return RawTable(frame, rows)
