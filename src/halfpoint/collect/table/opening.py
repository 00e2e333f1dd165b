"""From a path to a raw table, by what the file is and not by what it is called."""

from __future__ import annotations

import hashlib
import stat
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from halfpoint.collect.opened import refusing_unreadable
from halfpoint.collect.table.columnar import read_parquet
from halfpoint.collect.table.raw import REASON_MARK, RawTable, cell_text
from halfpoint.collect.table.text import read_text
from halfpoint.collect.table.workbook import read_workbook
from halfpoint.errors import FileNotReadable, NotATable

MOST_BYTES = 4 * 1024**3


@dataclass(frozen=True, slots=True)
class Opened:
    """A raw table, the name it goes by in messages, and the SHA-256 of the file.

    `origins` is empty but for a file of held rows: there it maps a row to the file and row
    that it was held from.
    """

    table: RawTable
    where: str
    digest: str
    origins: Mapping[int, tuple[str, int]]


def open_table(source: str | Path, known: Collection[str]) -> Opened:
    """The table in a file; `book.xlsx#Sheet` names a sheet of a workbook.

    Raises:
        FileNotReadable: missing, a folder, or not allowed.
        NotATable: not a table, or one without a row of marks.
    """
    path, sheet_name = _parted(Path(source))
    data = _bytes_of(path)
    where = path.name
    if not data.strip(b'\0 \t\r\n'):
        raise NotATable("an empty file", where=where, expected="a header and a row per pour")
    table = _read(data, sheet_name, known, where)
    if not table.frame.height and not table.held:
        raise NotATable("a header and no rows", where=where, expected="at least one row of marks")
    origins = _origins(table)
    reasons = [column for column in table.frame.columns if column.startswith(REASON_MARK)]
    if reasons:
        table = replace(table, frame=table.frame.drop(reasons))
    return Opened(table, where, hashlib.sha256(data).hexdigest(), origins)


def _origins(table: RawTable) -> dict[int, tuple[str, int]]:
    columns = [f'{REASON_MARK}{name}' for name in ('file', 'row')]
    if not set(columns) <= set(table.frame.columns):
        return {}
    told = ([cell_text(cell).strip() for cell in table.frame[column]] for column in columns)
    places = zip(table.rows, *told, strict=True)
    return {
        here: (file, int(row))
        for here, file, row in places
        if file and row.isdecimal() and len(row) < 10
    }


def _read(data: bytes, sheet_name: str | None, known: Collection[str], where: str) -> RawTable:
    if data.startswith(b'PAR1'):
        return read_parquet(data, where=where)
    if data.startswith(b'PK\x03\x04'):
        return read_workbook(data, sheet_name, known, where=where)
    if data.startswith(b'\xd0\xcf\x11\xe0'):
        raise NotATable(
            "a workbook of the old binary kind, or one with a password",
            where=where,
            expected="XLSX or ODS without a password, CSV or Parquet",
            remedy="open it in a spreadsheet program and save it as XLSX",
        )
    return read_text(data, known, where=where)


def _parted(path: Path) -> tuple[Path, str | None]:
    stem, mark, sheet_name = path.name.rpartition('#')
    if mark and stem and not path.exists():
        return path.with_name(stem), sheet_name
    return path, None


def _check_kind(path: Path) -> None:
    """Refuse what could be read without end, and what no memory holds; pipes may be read."""
    status = path.stat()
    if stat.S_ISCHR(status.st_mode) or stat.S_ISBLK(status.st_mode):
        raise FileNotReadable("a device", where=str(path), expected="a file")
    if status.st_size > MOST_BYTES:
        raise NotATable(
            f"a file of {status.st_size:,} bytes",
            where=path.name,
            expected=f"at most {MOST_BYTES:,} bytes",
            remedy="save it as Parquet, or bring it in by parts",
        )


def _bytes_of(path: Path) -> bytes:
    with refusing_unreadable(
        path,
        expected="a CSV, XLSX, ODS or Parquet file",
        remedy="check the path and that you may read it",
    ):
        _check_kind(path)
        return path.read_bytes()
