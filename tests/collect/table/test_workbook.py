"""Workbooks to columns, written by XlsxWriter and odfpy."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from datetime import date
from io import BytesIO

import polars as pl
import pytest
import xlsxwriter
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from halfpoint.collect.table.workbook import read_workbook
from halfpoint.errors import NotATable

MARKS = [['taster', 'wine', 'mark'], ['Ann', 298, 4.5], ['Ben', 511, 1 / 3]]


def xlsx(fill: Callable[[xlsxwriter.Workbook], None]) -> bytes:
    """The bytes of a workbook that `fill` writes."""
    data = BytesIO()
    book = xlsxwriter.Workbook(data)
    fill(book)
    book.close()
    return data.getvalue()


def _marks(book: xlsxwriter.Workbook, first_row: int = 0) -> None:
    sheet = book.add_worksheet('Marks')
    for row, record in enumerate(MARKS, start=first_row):
        sheet.write_row(row, 0, record)
    book.add_worksheet('Other').write_row(0, 0, ['taster', 'notes'])


def _ods(body: list[list[object]]) -> bytes:
    book = OpenDocumentSpreadsheet()
    sheet = Table(name='Marks')
    for record in body:
        row = TableRow()
        for cell in record:
            numeric = isinstance(cell, int | float)
            kind = {'valuetype': 'float', 'value': cell} if numeric else {'valuetype': 'string'}
            written = TableCell(**kind)
            written.addElement(P(text=str(cell)))
            row.addElement(written)
        sheet.addElement(row)
    book.spreadsheet.addElement(sheet)
    data = BytesIO()
    book.write(data)
    return data.getvalue()


def _read(data: bytes, sheet: str | None = None):
    return read_workbook(data, sheet, {'taster', 'wine', 'mark'}, where='marks.xlsx')


@pytest.mark.parametrize('data', [xlsx(_marks), _ods(MARKS)], ids=['xlsx', 'ods'])
def test_numbers_keep_every_digit(data: bytes) -> None:
    """Numeric cells come as the very doubles that were written, not as shown."""
    table = _read(data)

    assert MARKS[0] == table.frame.columns
    assert [4.5, 1 / 3] == table.frame['mark'].to_list()
    assert [2, 3] == table.rows.to_list()


def test_rows_above_the_header_count() -> None:
    """A header further down keeps the row numbers that the spreadsheet shows."""
    table = _read(xlsx(lambda book: _marks(book, first_row=4)))

    assert [6, 7] == table.rows.to_list()


def test_a_sheet_is_chosen_by_name() -> None:
    """A named sheet is read, and an unknown name lists the sheets there are."""
    with pytest.raises(NotATable) as refusal:
        _read(xlsx(_marks), 'Totals')

    assert "one of Marks, Other" == refusal.value.expected


def test_cells_of_many_kinds() -> None:
    """Text among numbers, dates, truths and formula errors are told, or are blank."""

    def fill(book: xlsxwriter.Workbook) -> None:
        sheet = book.add_worksheet()
        sheet.write_column(0, 0, ['taster', 'A', 'B', 'C', 'D', 'E'])
        sheet.write_column(0, 1, ['mark', 4, '4½'])
        sheet.write_datetime(3, 1, date(2031, 5, 4), book.add_format({'num_format': 'd.m.'}))
        sheet.write_formula(4, 1, '=1/0', None, '#DIV/0!')
        sheet.write_boolean(5, 1, True)

    marks = _read(xlsx(fill)).frame['mark']

    assert pl.String == marks.dtype
    assert ['4', '4½', '2031-05-04 00:00:00', None, 'true'] == marks.to_list()


def _zip(name: str, size: int) -> bytes:
    data = BytesIO()
    with zipfile.ZipFile(data, 'w', zipfile.ZIP_DEFLATED) as archive, archive.open(name, 'w') as f:
        for _ in range(size // 2**20):
            f.write(bytes(2**20))
    return data.getvalue()


def _far(book: xlsxwriter.Workbook) -> None:
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, MARKS[0])
    sheet.write(1_048_575, 16_383, 'stray')


def _lying(size: int) -> bytes:
    """An archive whose directory says that a member is smaller than it is."""
    data = _zip('xl/worksheets/sheet1.xml', size)
    return data.replace(size.to_bytes(4, 'little'), (1000).to_bytes(4, 'little'))


def _ods_spanning(rows: int, columns: int) -> bytes:
    cell = (
        f'<table:table-cell table:number-columns-repeated="{columns}"><text:p/></table:table-cell>'
    )
    row = f'<table:table-row table:number-rows-repeated="{rows}">{cell}</table:table-row>'
    data = BytesIO()
    with zipfile.ZipFile(data, 'w') as archive:
        archive.writestr('content.xml', row)
    return data.getvalue()


@pytest.mark.parametrize(
    ('data', 'said'),
    [
        (_zip('xl/worksheets/sheet1.xml', 64 * 2**20), "unpacks to 67,108,864"),
        (_lying(64 * 2**20), "damaged"),
        (xlsx(_far), "spanning 17,179,869,184 cells"),
        (_ods_spanning(1_000_000, 16_000), "spanning 16,000,000,000 cells"),
        (xlsx(_marks)[:2000], "cut short"),
        (xlsx(_marks)[:-30], "cut short"),
        (_zip('readme.txt', 2**20), "cannot be read"),
        (b'PK\x03\x04' + b'junk' * 50, "cut short"),
        (xlsx(lambda book: book.add_worksheet()), "blank rows"),
    ],
    ids=['bomb', 'lying', 'far cell', 'ods span', 'half', 'end', 'no book', 'junk', 'blank'],
)
def test_workbooks_that_are_refused(data: bytes, said: str) -> None:
    """Bombs, false sizes, far corners, halves and blanks are refused before they do harm."""
    with pytest.raises(NotATable) as refusal:
        _read(data)

    assert said in refusal.value.found


def test_repeated_blanks_below_the_marks_do_no_harm() -> None:
    """The million blank rows that ODS writers end a sheet with span nothing."""
    data = BytesIO()
    with zipfile.ZipFile(BytesIO(_ods(MARKS))) as old, zipfile.ZipFile(data, 'w') as new:
        for member in old.infolist():
            content = old.read(member)
            if member.filename == 'content.xml':
                blanks = (
                    b'<table:table-row table:number-rows-repeated="1048573">'
                    b'<table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
                )
                content = content.replace(b'</table:table>', blanks + b'</table:table>')
            new.writestr(member, content)

    assert 2 == _read(data.getvalue()).frame.height
