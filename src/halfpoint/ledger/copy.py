"""A copy of the record as it stands at one moment, while others go on writing."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from halfpoint.errors import LedgerError
from halfpoint.ledger.store import SqliteStore, no_record
from halfpoint.ledger.stores import open_store
from halfpoint.tasting.record_place import Database, RecordPlace


def copy_of(place: RecordPlace) -> bytes:
    """The record as the bytes of one SQLite file, whole, with nothing half written.

    One that lies in PostgreSQL has the same lines and the same head in the file.

    Raises:
        LedgerError: there is no record, or it cannot be read.
    """
    if isinstance(place, Path):
        return _copy_of_file(place)
    with TemporaryDirectory(prefix='halfpoint-') as folder:
        path = Path(folder) / 'copy.ledger'
        _copy_lines(place, path)
        return _copy_of_file(path)


def _copy_lines(place: Database, path: Path) -> None:
    with (
        closing(open_store(place, create=False)) as source,
        SqliteStore(path, create=True) as copy,
        copy.writing(),
    ):
        copy.add(source.rows())


def _copy_of_file(path: Path) -> bytes:
    if not path.exists():
        raise no_record(str(path))
    try:
        with (
            closing(sqlite3.connect(f'{path.resolve().as_uri()}?mode=ro', uri=True)) as source,
            closing(sqlite3.connect(':memory:')) as copy,
        ):
            source.backup(copy)
            return copy.serialize()
    except sqlite3.Error as reason:
        raise LedgerError(
            f"the record cannot be copied ({reason})",
            where=str(path),
            remedy="run halfpoint verify",
        ) from reason
