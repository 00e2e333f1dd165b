"""Any bytes at all are read, held, or refused; nothing else ever happens."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import polars as pl
import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from halfpoint.collect.table.gather import Gathered, read_marks
from halfpoint.errors import ColumnsNotFound, NotATable
from halfpoint.sheet.form import Sheet

anything = settings(
    deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=80
)
WORDS = ['taster', 'wine', 'mark', 'aroma', 'taste', 'W1: aroma', 'W1: taste', 'total', 'site']
STARTS = [b'', b'PAR1', b'PK\x03\x04', b'\xff\xfe']
CELLS = st.one_of(st.sampled_from([*WORDS, '4½', '4,5', '"', '', '-']), st.text(max_size=6))
RECORDS = st.lists(st.lists(CELLS, max_size=6), max_size=8)
PLAIN_CELLS = st.text(
    st.characters(exclude_characters='",;|', exclude_categories=['Cs', 'Cc']), max_size=5
)
ROWS = st.lists(
    st.tuples(PLAIN_CELLS, PLAIN_CELLS, PLAIN_CELLS).filter(lambda row: any(map(str.strip, row))),
    min_size=1,
    max_size=12,
)


def _parquet() -> bytes:
    pl.DataFrame({'taster': ['A', 'B'], 'wine': ['X', 'Y'], 'mark': [4.0, 5.5]}).write_parquet(
        data := BytesIO()
    )
    return data.getvalue()


def _workbook() -> bytes:
    data = BytesIO()
    book = xlsxwriter.Workbook(data)
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ['taster', 'wine', 'mark'])
    sheet.write_row(1, 0, ['A', 298, 4.5])
    book.close()
    return data.getvalue()


def _read(path: Path, data: bytes, sheet: Sheet | None, mark: str | None) -> Gathered | None:
    path.write_bytes(data)
    try:
        gathered = read_marks(path, sheet=sheet, mark=mark)
    except (NotATable, ColumnsNotFound):
        return None
    assert gathered.entries['total'].is_finite().all()
    assert gathered.entries.select('taster', 'wine').null_count().row(0) == (0, 0)
    assert all(row.found and row.expected for row in gathered.held)
    return gathered


@anything
@given(
    data=st.binary(max_size=400), start=st.sampled_from([b'', b'PAR1', b'PK\x03\x04', b'\xff\xfe'])
)
def test_random_bytes(tmp_path: Path, short: Sheet, data: bytes, start: bytes) -> None:
    """Random bytes, also behind the first bytes of a known kind of file."""
    _read(tmp_path / 'any', start + data, short, None)
    _read(tmp_path / 'any', start + data, None, 'mark')


@anything
@given(
    records=st.lists(st.lists(CELLS, max_size=6), max_size=8), delimiter=st.sampled_from(',;\t|')
)
def test_random_tables(tmp_path: Path, short: Sheet, records, delimiter: str) -> None:
    """Random cells under random headings: every record is an entry, held, or blank."""
    text = '\n'.join(delimiter.join(record) for record in records)
    data = text.encode('utf-8', 'replace')
    _read(tmp_path / 'any.csv', data, short, None)
    _read(tmp_path / 'any.csv', data, None, 'mark')


@anything
@given(rows=ROWS)
def test_no_row_is_lost(tmp_path: Path, rows: list[tuple[str, str, str]]) -> None:
    """Entries and held rows together are all the rows there were."""
    text = 'taster,wine,mark\n' + ''.join(f'{",".join(row)}\n' for row in rows)

    gathered = _read(tmp_path / 'any.csv', text.encode('utf-8-sig'), None, 'mark')

    assert gathered is not None
    told = [*gathered.entries['row'].to_list(), *(row.row for row in gathered.held)]
    assert list(range(2, len(rows) + 2)) == sorted(told)


@pytest.mark.parametrize('whole', [_parquet(), _workbook()], ids=['parquet', 'xlsx'])
@anything
@given(place=st.integers(0, 10**6), byte=st.integers(0, 255), keep=st.floats(0.3, 1.5))
def test_damaged_files(tmp_path: Path, whole: bytes, place: int, byte: int, keep: float) -> None:
    """A byte changed, or the end lost, is read or refused."""
    data = bytearray(whole)
    data[place % len(data)] = byte
    _read(tmp_path / 'any', bytes(data[: int(len(data) * keep)]), None, 'mark')
