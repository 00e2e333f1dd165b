"""The desk's file underneath: its tables, reading, writing in turn, and refusing in words."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sql
from sqlalchemy import Column, Integer, String, Table, UniqueConstraint
from sqlalchemy.exc import DatabaseError, OperationalError

from halfpoint.errors import DiskFull, LedgerBusy, LedgerError, OutputError
from halfpoint.writing import writing_refusal

SCHEMA_VERSION = 1

_meta = sql.MetaData()
KEPT = Table('kept', _meta, Column('name', String, primary_key=True), Column('value', String))
SESSION = Table(
    'session',
    _meta,
    Column('token', String, primary_key=True),
    Column('who', String, nullable=False),
    Column('made', String, nullable=False),
    Column('ends', String, nullable=False),
)
HOST = Table(
    'host',
    _meta,
    Column('id', Integer, primary_key=True),
    Column('token', String, nullable=False, unique=True),
    Column('site', String, nullable=False),
    Column('made', String, nullable=False),
    Column('ends', String, nullable=False),
    Column('revoked', String),
)
DEVICE = Table(
    'device',
    _meta,
    Column('id', Integer, primary_key=True),
    Column('token', String, nullable=False, unique=True),
    Column('device', String, nullable=False),
    Column('site', String, nullable=False),
    Column('seat', Integer, nullable=False),
    Column('made', String, nullable=False),
    Column('seen', String, nullable=False),
    UniqueConstraint('device', 'site', 'seat'),
)
NAME = Table(
    'name',
    _meta,
    Column('taster', String, primary_key=True),
    Column('name', String, nullable=False),
    Column('consent', Integer, nullable=False, default=0),
)
ADDED = Table(
    'added_seat',
    _meta,
    Column('site', String, primary_key=True),
    Column('seat', Integer, primary_key=True),
    Column('table', Integer, nullable=False),
    Column('like', Integer, nullable=False),
    Column('made', String, nullable=False),
)


class DeskFile:
    """One SQLite file; any thread may read and write.

    Raises (every method):
        LedgerBusy: another process kept the file locked.
        LedgerError: the file is damaged, or is not a desk of this version.
        DiskFull, OutputError: nothing could be written.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._lock = threading.RLock()
        self._engine = sql.create_engine(
            sql.URL.create('sqlite', database=str(path)), connect_args={'timeout': 10}
        )
        sql.event.listen(self._engine, 'connect', _prepare_connection)
        with self._refusing():
            _begin(self._engine, path)

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    def rows(self, query: sql.Select[Any]) -> Sequence[Any]:
        """Everything that this finds."""
        with self._refusing(), self._engine.connect() as connection:
            return connection.execute(query).all()

    @contextmanager
    def writing(self) -> Iterator[sql.Connection]:
        """One change after another; on the disk when this ends, or nothing of it."""
        with self._lock, self._refusing(), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def _refusing(self) -> Iterator[None]:
        try:
            yield
        except OperationalError as reason:
            raise _refusal(self._path, str(reason.orig)) from reason
        except DatabaseError as reason:
            raise _not_a_desk(self._path) from reason


def _prepare_connection(connection: Any, _record: Any) -> None:
    connection.execute('PRAGMA synchronous=FULL')


def _begin(engine: sql.Engine, path: Path) -> None:
    try:
        # Before SQLite makes it, so that at no moment others of the machine may read it.
        path.touch(mode=0o600)
    except OSError as reason:
        raise writing_refusal(path, reason) from reason
    with engine.connect() as connection:
        version = connection.exec_driver_sql('PRAGMA user_version').scalar_one()
        tables = connection.exec_driver_sql('SELECT count(*) FROM sqlite_master').scalar_one()
        if version not in {0, SCHEMA_VERSION} or (version == 0 and tables):
            raise _not_a_desk(path)
        connection.exec_driver_sql('PRAGMA journal_mode=WAL')
    with engine.begin() as connection:
        if version == 0:
            _meta.create_all(connection)
            connection.exec_driver_sql(f'PRAGMA user_version = {SCHEMA_VERSION}')


def _refusal(path: Path, reason: str) -> LedgerError | OutputError:
    if 'locked' in reason or 'busy' in reason:
        return LedgerBusy(
            "another process keeps the desk's file locked",
            where=str(path),
            remedy="let only one halfpoint serve run for a tasting",
        )
    if 'full' in reason:
        return DiskFull(
            "no space was left on the disk", where=str(path), remedy="make room, and try again"
        )
    return OutputError(
        f"the desk's file could not be opened or written ({reason})",
        where=str(path),
        expected="a folder that may be written to",
        remedy="allow writing there, or move the tasting to another folder",
    )


def _not_a_desk(path: Path) -> LedgerError:
    return LedgerError(
        "this is not a desk of this version of halfpoint",
        where=str(path),
        remedy="put the file elsewhere; marks are not in it, only passwords, links and names",
    )
