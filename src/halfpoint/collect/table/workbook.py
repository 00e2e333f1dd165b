"""A sheet of a workbook (XLSX, XLSM, ODS) to its columns."""

from __future__ import annotations

from collections.abc import Collection

import fastexcel
import polars as pl

from halfpoint.collect.table.archive import check_archive
from halfpoint.collect.table.header import LOOKED_AT, find_header
from halfpoint.collect.table.raw import RawTable, first_line
from halfpoint.errors import NotATable


def read_workbook(
    data: bytes, sheet_name: str | None, known: Collection[str], *, where: str
) -> RawTable:
    """The named sheet of a workbook, or its first; numeric columns stay numeric.

    Raises:
        NotATable: not a workbook, cut short, too large when unpacked, or no such sheet.
    """
    check_archive(data, where=where)
    try:
        return _read(data, sheet_name, known, where)
    except fastexcel.FastExcelError as trouble:
        raise NotATable(
            f"a workbook that cannot be read ({first_line(trouble)})",
            where=where,
            expected="an XLSX or ODS workbook without a password",
            remedy="open it in a spreadsheet program and save it again, or save it as CSV",
        ) from None


def _read(data: bytes, sheet_name: str | None, known: Collection[str], where: str) -> RawTable:
    book = fastexcel.read_excel(data)
    wanted = _chosen(book.sheet_names, sheet_name, where)
    head = book.load_sheet(
        wanted, header_row=None, skip_rows=0, n_rows=LOOKED_AT, dtypes='string'
    ).to_polars()
    header = find_header(head.rows(), known, where=where)
    body = book.load_sheet(
        wanted, header_row=None, skip_rows=header.below, schema_sample_rows=None
    ).to_polars()
    names = [*header.names, *(f'column {k + 1}' for k in range(len(header.names), body.width))]
    body.columns = names[: body.width]
    rows = pl.int_range(body.height, dtype=pl.UInt32, eager=True) + (header.below + 1)
    return _without_blanks(body, rows.cast(pl.UInt32).alias('row'), len(header.names))


def _chosen(names: list[str], wanted: str | None, where: str) -> str:
    if not names:
        raise NotATable("a workbook without a sheet", where=where)
    if wanted is None:
        return names[0]
    if wanted not in names:
        raise NotATable(
            f"no sheet called {wanted!r}", where=where, expected=f"one of {', '.join(names)}"
        )
    return wanted


def _without_blanks(body: pl.DataFrame, rows: pl.Series, named: int) -> RawTable:
    spare = [c for c in body.columns[named:] if body[c].null_count() == body.height]
    body = body.drop(spare)
    filled = body.select(~pl.all_horizontal(pl.all().is_null())).to_series()
    return RawTable(body.filter(filled), rows.filter(filled))
