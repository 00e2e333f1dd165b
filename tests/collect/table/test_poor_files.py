"""Files that are no tables of marks, cannot be read, or hold cells that no table should."""

from __future__ import annotations

import os
from io import BytesIO
from pathlib import Path

import polars as pl
import pytest

from halfpoint.collect.table import opening
from halfpoint.collect.table.gather import read_marks
from halfpoint.errors import ColumnsNotFound, FileNotReadable, NotATable


@pytest.mark.parametrize(
    ('content', 'kind', 'said'),
    [
        (b'', NotATable, "empty file"),
        (b' \n\n', NotATable, "empty file"),
        (b'taster,wine,mark\n', NotATable, "no rows"),
        (b'taster^wine^mark\nA^X^4\n', ColumnsNotFound, "a single column"),
        (b'taster,wine,mark,mark\nA,X,4,5\n', ColumnsNotFound, "more than one column called"),
        (b'\xd0\xcf\x11\xe0' + b'junk' * 99, NotATable, "old binary kind"),
        (b'PAR1' + b'junk' * 99, NotATable, "Parquet file that cannot be read"),
        (bytes(range(256)) * 9, NotATable, "not text"),
    ],
)
def test_files_that_are_no_tables(write, content: bytes, kind: type[Exception], said: str) -> None:
    """Each kind of file that is no table of marks is refused with its own words."""
    with pytest.raises(kind, match=said):
        read_marks(write(content), sheet=None, mark='mark')


def test_a_parquet_file_cut_short(write) -> None:
    """A Parquet file without its end is refused."""
    pl.DataFrame({'taster': ['A'], 'wine': ['X'], 'mark': [4]}).write_parquet(data := BytesIO())

    with pytest.raises(NotATable, match="cannot be read"):
        read_marks(write(data.getvalue()[:-8], 'cut.parquet'), sheet=None, mark='mark')


def test_a_path_that_leads_to_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Missing files, folders and files one may not read are told apart."""
    forbidden = tmp_path / 'forbidden.csv'
    forbidden.write_text('taster')

    def refuse(path: Path) -> bytes:
        raise PermissionError(13, os.strerror(13), str(path))

    with pytest.raises(FileNotReadable, match="no such file"):
        read_marks(tmp_path / 'none.csv', sheet=None, mark='mark')
    with pytest.raises(FileNotReadable, match="a folder"):
        read_marks(tmp_path, sheet=None, mark='mark')
    monkeypatch.setattr(opening.Path, 'read_bytes', refuse)
    with pytest.raises(FileNotReadable, match="may not be read"):
        read_marks(forbidden, sheet=None, mark='mark')


def test_what_has_no_end_is_not_begun(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A device is refused, and so is a file past the limit, before a byte is read."""
    monkeypatch.setattr(opening, 'MOST_BYTES', 10)
    (tmp_path / 'long.csv').write_text('taster,wine,mark')

    with pytest.raises(FileNotReadable, match="a device"):
        read_marks('/dev/zero', sheet=None, mark='mark')
    with pytest.raises(NotATable, match="a file of 16 bytes"):
        read_marks(tmp_path / 'long.csv', sheet=None, mark='mark')


@pytest.mark.parametrize('cell', ['x' * 100_000, 'ß' * 300])
def test_enormous_names_are_held_and_shortened(write, cell: str) -> None:
    """A name nobody has is held, and the message does not repeat it."""
    gathered = read_marks(write(f'taster,wine,mark\n{cell},X,4\n'), sheet=None, mark='mark')

    (held,) = gathered.held
    assert f"a name of {len(cell):,} letters" == held.found
    assert cell == held.original['taster']


def test_cells_of_other_kinds_in_parquet(write) -> None:
    """Dates, lists and bytes where marks should be are held, not failed upon."""
    frame = pl.DataFrame(
        {'taster': ['A', 'B'], 'wine': [b'X', b'\xff'], 'mark': [[1, 2], None]},
        schema_overrides={'mark': pl.List(pl.Int64)},
    )
    frame.write_parquet(path := write(b'', 'odd.parquet'))

    gathered = read_marks(path, sheet=None, mark='mark')

    assert ['[1, 2]', 'nothing'] == [row.found for row in gathered.held]
