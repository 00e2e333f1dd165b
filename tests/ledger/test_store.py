"""A record in a SQLite file: what the file itself refuses, and what is refused of a file."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from tests.ledger.sample import arrived, opened

from halfpoint.errors import DiskFull, LedgerAltered, LedgerError, OutputError
from halfpoint.ledger.chain import Head
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.store import SqliteStore


@pytest.mark.parametrize(
    'statement',
    [
        "UPDATE record SET who = 'Mallory'",
        'DELETE FROM record',
        "INSERT OR REPLACE INTO record VALUES (2, 'entry', '', '', '', '', '')",
        "INSERT INTO record VALUES (9, 'entry', '', '', '', '', '')",
        "INSERT INTO record VALUES (3, 'entry', '', '', '', 'another', '')",
        "REPLACE INTO record SELECT * FROM record WHERE sequence = 1",
    ],
)
def test_the_database_itself_refuses_change(tmp_path: Path, statement: str) -> None:
    """Any program that opens the file is refused updates, deletions and odd insertions."""
    with opened(tmp_path) as ledger:
        ledger.append([arrived()], who="Mira")
        raw = sqlite3.connect(tmp_path / 'tasting.ledger')
        with closing(raw), pytest.raises(sqlite3.IntegrityError, match='append-only'):
            raw.execute(statement)
        assert Head(2, ledger.head.hash) == ledger.head
        assert ledger.verify().holds


def test_it_is_written_ahead_and_fully_synced(tmp_path: Path) -> None:
    """WAL and synchronous = FULL (2): SQLite then syncs the log at every commit."""
    store = SqliteStore(tmp_path / 'x.ledger', create=True)
    with closing(store):
        asked = {
            name: store._connection.execute(f'PRAGMA {name}').fetchone()[0]
            for name in ('journal_mode', 'synchronous', 'foreign_keys', 'user_version')
        }

    expected = {'journal_mode': 'wal', 'synchronous': 2, 'foreign_keys': 1, 'user_version': 1}
    assert expected == asked


def test_a_full_disk_is_said_and_leaves_nothing_half(tmp_path: Path) -> None:
    """SQLite's own 'database or disk is full' becomes DiskFull; later appending works again."""
    with opened(tmp_path) as ledger:
        connection = ledger._store._connection
        connection.execute('PRAGMA max_page_count = 8')
        batch = [arrived(taster=f't{number}') for number in range(500)]
        with pytest.raises(DiskFull) as refusal:
            ledger.append(batch, who="Mira")
        connection.execute('PRAGMA max_page_count = 100000')

        assert 41 == refusal.value.exit_code
        assert 1 == ledger.head.count
        assert 500 == len(ledger.append(batch, who="Mira"))
        assert ledger.verify().holds


@pytest.mark.parametrize('content', [b'taster,wine\nann,w1\n' * 50, b'\0' * 5000, b'SQLite format'])
def test_another_file_is_not_taken_for_a_record(tmp_path: Path, content: bytes) -> None:
    """A file of another kind is refused and left as it is."""
    path = tmp_path / 'tasting.ledger'
    path.write_bytes(content)

    with pytest.raises(LedgerError):
        opened(tmp_path)
    assert content == path.read_bytes()


def test_another_database_is_not_taken_for_a_record(tmp_path: Path) -> None:
    """A SQLite database that some other program made is refused."""
    with closing(sqlite3.connect(tmp_path / 'tasting.ledger')) as raw:
        raw.execute('CREATE TABLE cellar (bottle)')

    with pytest.raises(LedgerError, match='not a record'):
        opened(tmp_path)


def test_a_later_form_is_not_guessed_at(tmp_path: Path) -> None:
    """A record made by a later halfpoint is refused with what to do."""
    opened(tmp_path).close()
    with closing(sqlite3.connect(tmp_path / 'tasting.ledger')) as raw:
        raw.execute('PRAGMA user_version = 2')

    with pytest.raises(LedgerError, match='update halfpoint'):
        opened(tmp_path)


def test_a_damaged_file_does_not_verify(tmp_path: Path) -> None:
    """Bytes overwritten on disk are an altered record, not a crash."""
    with opened(tmp_path) as ledger:
        ledger.append([arrived(taster=f't{number}') for number in range(200)], who="Mira")
    path = tmp_path / 'tasting.ledger'
    content = bytearray(path.read_bytes())
    content[3 * 4096 : 5 * 4096] = b'\xff' * 8192
    path.write_bytes(content)

    with opened(tmp_path) as ledger:
        assert not ledger.verify().holds
        with pytest.raises(LedgerAltered):
            list(ledger.records())


def test_reading_does_not_begin_a_record(tmp_path: Path) -> None:
    """Where there is none, or an empty file, `create=False` refuses and makes nothing."""
    path = tmp_path / 'tasting.ledger'
    for _ in ('no file', 'an empty file'):
        with pytest.raises(LedgerError, match='no record yet'):
            Ledger.open(path, tasting_key='spring', create=False)
        path.touch()
    assert 0 == path.stat().st_size


def test_a_place_that_is_not_there_is_said(tmp_path: Path) -> None:
    """A folder that does not exist, or is the file itself, is an OutputError."""
    for path in (tmp_path / 'no' / 'tasting.ledger', tmp_path):
        with pytest.raises(OutputError):
            Ledger.open(path, tasting_key='spring')


def test_odd_names_are_names(tmp_path: Path) -> None:
    """A path with signs that mean something in a URI is a path like any other."""
    path = tmp_path / 'spring & co?mode=ro#1 ½%20.ledger'
    Ledger.open(path, tasting_key='spring').close()

    assert path.is_file()
