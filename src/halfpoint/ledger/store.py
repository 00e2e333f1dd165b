"""What the record needs of a database: one small interface, and SQLite behind it.

All SQL of a record in SQLite is in this file. Another database needs another `Store`, no more.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager
from itertools import islice
from pathlib import Path
from typing import Protocol, Self

from halfpoint.errors import (
    DiskFull,
    HalfpointError,
    LedgerAltered,
    LedgerBusy,
    LedgerError,
    OutputError,
)
from halfpoint.ledger.chain import START, Head, Record

SCHEMA_VERSION = 1
APPLICATION = 0x68616C66  # "half" in ASCII

_SCHEMA = (
    """CREATE TABLE record (
        sequence INTEGER PRIMARY KEY,
        kind     TEXT NOT NULL,
        made     TEXT NOT NULL,
        who      TEXT NOT NULL,
        body     TEXT NOT NULL,
        previous TEXT NOT NULL,
        hash     TEXT NOT NULL
    )""",
    """CREATE TRIGGER record_keeps_what_it_says BEFORE UPDATE ON record
    BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END""",
    """CREATE TRIGGER record_keeps_every_line BEFORE DELETE ON record
    BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END""",
    # Also catches INSERT OR REPLACE, which fires no delete trigger.
    """CREATE TRIGGER record_grows_at_its_end BEFORE INSERT ON record
    WHEN NEW.sequence IS NOT (SELECT coalesce(max(sequence), 0) + 1 FROM record)
      OR NEW.previous IS NOT coalesce(
        (SELECT hash FROM record ORDER BY sequence DESC LIMIT 1),
        '0000000000000000000000000000000000000000000000000000000000000000')
    BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END""",
)


class Store(Protocol):
    """What the ledger needs of a database."""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()

    def rows(self, after: int = 0) -> Iterator[Record]:
        """The records after this sequence number, in order."""

    def head(self) -> Head:
        """The end of the record."""

    def add(self, records: Iterable[Record]) -> None:
        """Add records at the end; only within `writing`."""

    def writing(self) -> AbstractContextManager[None]:
        """Hold the only pen; all that is added is on disk when this ends, or none of it."""

    def damage(self) -> str:
        """What is wrong with the database as such, in words; empty when nothing is."""

    def close(self) -> None:
        """Let go of the database."""


class SqliteStore(Store):
    """The record in one SQLite file: write-ahead log, full sync, triggers that refuse change.

    Raises (every method):
        LedgerBusy: another process kept the file locked for longer than `patience` seconds.
        LedgerAltered: the file is damaged.
        LedgerError: the file is not a record of halfpoint.
        DiskFull, OutputError: nothing could be written.
    """

    def __init__(self, path: Path, *, create: bool, patience: float = 10.0) -> None:
        self._path = path
        with self._refusing():
            self._connection = _connect(path, create=create, patience=patience)
            try:
                self._prepare(create, patience)
            except BaseException:
                self._connection.close()
                raise

    def rows(self, after: int = 0) -> Iterator[Record]:
        """The records after this sequence number, in order."""
        query = (
            'SELECT sequence, kind, made, who, body, previous, hash FROM record'
            ' WHERE sequence > ? ORDER BY sequence'
        )
        with self._refusing():
            for row in self._connection.execute(query, (after,)):
                yield Record(*row)

    def head(self) -> Head:
        """The end of the record."""
        query = 'SELECT sequence, hash FROM record ORDER BY sequence DESC LIMIT 1'
        with self._refusing():
            row = self._connection.execute(query).fetchone()
        return Head(*row) if row else Head(0, START)

    def add(self, records: Iterable[Record]) -> None:
        """Add records at the end; only within `writing`."""
        with self._refusing():
            # Many rows to a statement: each statement lets other threads go first.
            for several in in_parts(records, ROWS_AT_ONCE):
                rows = ', '.join(['(?, ?, ?, ?, ?, ?, ?)'] * len(several))
                values = [value for r in several for value in row_of(r)]
                self._connection.execute(f'INSERT INTO record VALUES {rows}', values)  # noqa: S608

    @contextmanager
    def writing(self) -> Iterator[None]:
        """Hold the only pen; all that is added is on disk when this ends, or none of it."""
        with self._refusing():
            self._connection.execute('BEGIN IMMEDIATE')
        try:
            yield
            with self._refusing():
                self._connection.execute('COMMIT')
        except BaseException:
            if self._connection.in_transaction:
                self._connection.execute('ROLLBACK')
            raise

    def damage(self) -> str:
        """What is wrong with the database as such, in words; empty when nothing is."""
        try:
            (state,) = self._connection.execute('PRAGMA quick_check(1)').fetchone()
            found = self._connection.execute("SELECT sql FROM sqlite_master WHERE sql <> ''")
            statements = {sql for (sql,) in found}
        except sqlite3.DatabaseError as reason:
            return f"the file is damaged ({reason})"
        if state != 'ok':
            return f"the file is damaged ({state.splitlines()[-1]})"
        if not statements.issuperset(_SCHEMA):
            return "the guards that refuse every change to the record were taken out"
        return ''

    def close(self) -> None:
        """Let go of the database."""
        self._connection.close()

    def _prepare(self, create: bool, patience: float) -> None:
        if self._version() == 0:
            if not create:
                raise no_record(str(self._path))
            _patiently(patience, lambda: self._connection.execute('PRAGMA journal_mode = WAL'))
            self._make_schema()
        if self._version() > SCHEMA_VERSION:
            raise later_form(self._version(), str(self._path))

    def _make_schema(self) -> None:
        with self.writing():
            # Another process may have made it while this one waited for the pen.
            if self._version() == 0:
                for statement in _SCHEMA:
                    self._connection.execute(statement)
                self._connection.execute(f'PRAGMA application_id = {APPLICATION}')
                self._connection.execute(f'PRAGMA user_version = {SCHEMA_VERSION}')

    def _version(self) -> int:
        """The form of the record; 0 for a new or empty file. Refuses any other database."""
        (version,) = self._connection.execute('PRAGMA user_version').fetchone()
        (application,) = self._connection.execute('PRAGMA application_id').fetchone()
        (tables,) = self._connection.execute('SELECT count(*) FROM sqlite_master').fetchone()
        if tables and application != APPLICATION:
            raise _not_a_record(self._path)
        return int(version) if tables else 0

    @contextmanager
    def _refusing(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as reason:
            raise _refusal(self._path, reason) from reason


ROWS_AT_ONCE = 100


def row_of(record: Record) -> tuple[int, str, str, str, str, str, str]:
    """The columns of a record, in order."""
    return (
        record.sequence,
        record.kind,
        record.made,
        record.who,
        record.body,
        record.previous,
        record.hash,
    )


def in_parts(records: Iterable[Record], size: int) -> Iterator[list[Record]]:
    """The records, so many at once."""
    coming = iter(records)
    while several := list(islice(coming, size)):
        yield several


class NoRecord(LedgerError):
    """There is no record yet."""


def no_record(where: str) -> NoRecord:
    """The refusal to raise when there is no record yet."""
    return NoRecord(
        "there is no record yet",
        where=where,
        remedy="gather the first marks: halfpoint gather TASTING.toml FILE",
    )


def busy(where: str) -> LedgerBusy:
    """The refusal when another process held the pen for too long."""
    return LedgerBusy(
        "another process keeps the record locked",
        where=where,
        remedy="wait until the other command has ended, then run this one again",
    )


def disk_full(where: str) -> DiskFull:
    """The refusal when a step did not fit on the disk."""
    return DiskFull(
        "no space was left on the disk; nothing of this step was recorded",
        where=where,
        remedy="make room and run the command again",
    )


def later_form(form: int, where: str) -> LedgerError:
    """The refusal of a record that a later halfpoint has made."""
    return LedgerError(
        f"the record has form {form}, made by a later halfpoint",
        where=where,
        expected=f"form {SCHEMA_VERSION}",
        remedy="update halfpoint and run the command again",
    )


def _connect(path: Path, *, create: bool, patience: float) -> sqlite3.Connection:
    if not create and not path.exists():
        raise no_record(str(path))
    mode = 'rwc' if create else 'rw'
    connection = sqlite3.connect(
        f'{path.resolve().as_uri()}?mode={mode}', uri=True, timeout=patience, isolation_level=None
    )
    try:
        connection.execute('PRAGMA synchronous = FULL')
        connection.execute('PRAGMA foreign_keys = ON')
    except BaseException:
        connection.close()
        raise
    return connection


def _patiently(patience: float, action: Callable[[], object]) -> None:
    """Try again while locked: SQLite does not wait by itself when it changes its journal."""
    until = time.monotonic() + patience
    while True:
        try:
            action()
        except sqlite3.OperationalError as reason:
            if _code(reason) not in _BUSY or time.monotonic() > until:
                raise
            time.sleep(0.02)
        else:
            return


_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_DAMAGED = {sqlite3.SQLITE_CORRUPT}
_UNWRITABLE = {
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_PERM,
}


def _code(reason: sqlite3.Error) -> int:
    """The primary result code (https://www.sqlite.org/rescode.html); 0 when there is none."""
    return getattr(reason, 'sqlite_errorcode', 0) & 0xFF


def _refusal(path: Path, reason: sqlite3.Error) -> HalfpointError:
    code, message, where = _code(reason), str(reason), str(path)
    if code in _BUSY:
        return busy(where)
    if code == sqlite3.SQLITE_FULL or 'disk is full' in message:
        return disk_full(where)
    if code == sqlite3.SQLITE_NOTADB:
        return _not_a_record(path)
    if code in _DAMAGED or 'decode to UTF-8' in message:
        return LedgerAltered(
            f"the record cannot be read ({message.lower()})",
            where=where,
            remedy="keep this file as it is, and go back to the last copy that verifies",
        )
    if code in _UNWRITABLE:
        return OutputError(
            f"the record could not be opened or written ({message})",
            where=where,
            expected="a file in a folder that exists and may be written to",
            remedy="allow writing there, or name another place under `ledger` in the tasting file",
        )
    return LedgerError(f"the record refused ({message})", where=where)


def _not_a_record(path: Path) -> LedgerError:
    return LedgerError(
        "this file is not a record of halfpoint",
        where=str(path),
        expected="a file made by halfpoint, or a name that is still free",
        remedy="name another file under `ledger` in the tasting file",
    )
