"""Text tables to columns."""

from __future__ import annotations

import csv
from io import StringIO

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from halfpoint.collect.table.delimiter import CANDIDATES, find_delimiter
from halfpoint.collect.table.text import read_text
from halfpoint.collect.table.words import plain
from halfpoint.errors import NotATable

CELLS = st.text(st.characters(codec='utf-8', exclude_categories=['Cc']), max_size=12)
FILLED = CELLS.filter(lambda cell: cell.strip())


def _written(records: list[list[str]], delimiter: str = ',') -> bytes:
    text = StringIO(newline='')
    csv.writer(text, delimiter=delimiter).writerows(records)
    return text.getvalue().encode()


@pytest.mark.parametrize('delimiter', CANDIDATES)
@given(body=st.lists(st.tuples(FILLED, CELLS, CELLS), min_size=1, max_size=20))
def test_what_the_standard_library_writes_comes_back(
    delimiter: str, body: list[tuple[str, str, str]]
) -> None:
    """Any cells that Python's csv module writes are read as they were (peer: stdlib csv)."""
    records = [['taster', 'wine', 'mark'], *map(list, body)]
    # A row of nothing but names of columns is a row of names, wherever it stands.
    assume(all({plain(cell) for cell in record} - {'taster', 'wine', ''} for record in body))
    assume(find_delimiter(_written(records, delimiter).decode().splitlines()) == delimiter)

    table = read_text(_written(records, delimiter), {'taster', 'wine'}, where='x')

    assert ['taster', 'wine', 'mark'] == table.frame.columns
    assert [tuple(record) for record in body] == table.frame.rows()
    assert list(range(2, len(records) + 1)) == table.rows.to_list()


@pytest.mark.parametrize('delimiter', CANDIDATES)
def test_each_delimiter_is_found(delimiter: str) -> None:
    """The delimiter is the character that parts lines most evenly."""
    lines = [delimiter.join(record) for record in (['taster', 'wine', 'mark'], ['A', 'W', '4'])]
    assert delimiter == find_delimiter(lines)


def test_decimal_commas_do_not_part_fields() -> None:
    """With semicolons between fields, commas are within numbers."""
    assert ';' == find_delimiter(['taster;aroma;taste', 'A;4,5;3,5', 'B;2,5;1,5'])


def test_a_declared_delimiter_is_obeyed() -> None:
    """`sep=;` in the first line names the delimiter, and counts as a row."""
    table = read_text(b'sep=;\ntaster;wine\nA;W\n', {'taster'}, where='x')

    assert [('A', 'W')] == table.frame.rows()
    assert [3] == table.rows.to_list()


def test_blank_rows_are_passed_over_and_counted() -> None:
    """Blank lines and rows of empty cells hold nothing, but rows below keep their number."""
    table = read_text(b'\ntaster,wine\n\nA,W\n,\nB,W\n', {'taster'}, where='x')

    assert [('A', 'W'), ('B', 'W')] == table.frame.rows()
    assert [4, 6] == table.rows.to_list()


def test_short_rows_are_filled_up_and_long_ones_held() -> None:
    """Fields beyond the header are never dropped: the row is held with all of them."""
    table = read_text(b'taster,wine,mark\nA,W\nB,W,4,,\nC,W,4,7,8\n', {'taster'}, where='x')

    assert [('A', 'W', ''), ('B', 'W', '4')] == table.frame.rows()
    (held,) = table.held
    assert (4, '3 fields, as in the header') == (held.row, held.expected)
    assert ['C', 'W', '4', '7', '8'] == list(held.original.values())


@pytest.mark.parametrize(
    ('data', 'said'),
    [
        (b'taster,wine\nA,"W\nB,W\n', "never closed"),
        (b'taster,wine\nA,"W"x\n', "cannot be read"),
        (b'taster,wine\nA,' + b'x' * 10_000_000 + b'\n', "far too long"),
        (b','.join(b'c%d' % k for k in range(30_000)) + b'\n1\n', "30,000 columns"),
        (b'\n\n , \n', "blank rows"),
        (b'\x89PNG\r\n\x1a\n' + bytes(range(256)) * 8, "not text"),
    ],
)
def test_what_is_no_table_is_refused(data: bytes, said: str) -> None:
    """Open quotes, enormous cells, endless columns, blanks and pictures are refused in words."""
    with pytest.raises(NotATable) as refusal:
        read_text(data, {'taster'}, where='marks.csv')

    assert said in refusal.value.found
    assert refusal.value.where.startswith('marks.csv')


def test_an_open_quote_names_its_line() -> None:
    """The refusal says up to which line the quote ran."""
    with pytest.raises(NotATable) as refusal:
        read_text(b'taster,wine\nA,"W\nB,W\n', {'taster'}, where='marks.csv')

    assert 'marks.csv, line 3' == refusal.value.where
