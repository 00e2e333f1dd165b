"""How large a grid a workbook's sheet spans: one cell in a far corner makes all of it."""

from __future__ import annotations

import re
import zipfile

from halfpoint.errors import NotATable

MOST_CELLS = 50_000_000

# Columns A to Z cannot span too much whatever the rows, so only wider references count.
_WIDE_CELL = re.compile(rb"""\br=["']([A-Z]{2,3})\d""")
_LATE_ROW = re.compile(rb"""\br=["'][A-Z]*(\d{5,7})["']""")
_ODS_PART = re.compile(rb'<table:table-row\b([^>]*)>|<table:(?:covered-)?table-cell\b([^>]*?)(/?)>')
_ODS_COLUMNS = re.compile(rb'number-columns-repeated="(\d+)"')
_ODS_ROWS = re.compile(rb'number-rows-repeated="(\d+)"')
_ROWS, _COLUMNS = 1_048_576, 16_384


def check_extent(archive: zipfile.ZipFile, *, where: str) -> None:
    """Refuse a workbook with a sheet whose used cells span an absurd grid.

    Raises:
        NotATable: more than `MOST_CELLS` cells between the first and the last used one.
    """
    for name in archive.namelist():
        if name.startswith('xl/worksheets/') and name.endswith('.xml'):
            cells = _xlsx_cells(archive.read(name))
        elif name == 'content.xml':
            cells = _ods_cells(archive.read(name))
        else:
            continue
        if cells > MOST_CELLS:
            raise NotATable(
                f"a sheet spanning {cells:,} cells",
                where=where,
                expected=f"at most {MOST_CELLS:,} cells from the first used one to the last",
                remedy="delete what stands far below or right of the marks, or save as CSV",
            )


def _xlsx_cells(xml: bytes) -> int:
    letters = {match[1] for match in _WIDE_CELL.finditer(xml)}
    if not letters:
        return 0
    rows = max((int(match[1]) for match in _LATE_ROW.finditer(xml)), default=10_000)
    return max(map(_column_number, letters)) * rows


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _ods_cells(xml: bytes) -> int:
    row = column = repeats = last_row = last_column = 0
    for match in _ODS_PART.finditer(xml):
        if match[1] is not None:
            row, column = min(row + repeats, _ROWS), 0
            repeats = _count(_ODS_ROWS, match[1])
            continue
        column = min(column + _count(_ODS_COLUMNS, match[2]), _COLUMNS)
        if not match[3] or b'office:value' in match[2]:
            last_column = max(last_column, column)
            last_row = max(last_row, min(row + repeats, _ROWS))
    return last_row * last_column


def _count(repeated: re.Pattern[bytes], attributes: bytes) -> int:
    match = repeated.search(attributes)
    return int(match[1]) if match else 1
