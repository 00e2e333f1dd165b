"""A copy of the record as it stands at one moment, while others go on writing; and moving it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from halfpoint.errors import LedgerError, UsageError
from halfpoint.ledger.chain import Head
from halfpoint.ledger.store import no_record
from halfpoint.ledger.stores import open_store
from halfpoint.tasting.record_place import RecordPlace


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
        bring_over(place, path)
        return _copy_of_file(path)


def bring_over(source: RecordPlace, target: RecordPlace) -> Head:
    """Write the lines of a record to a place where there is none yet, and give their head.

    Every line stays as it is, so that a head noted down before is found in the new place too.
    Pictures of pages are not brought over.

    Raises:
        UsageError: a record is at `target` already.
        LedgerError, OutputError and their kinds: see `open_store`; nothing was brought over.
    """
    with (
        open_store(source, create=False) as old,
        open_store(target, create=True) as new,
        new.writing(),
    ):
        if new.head().count:
            raise UsageError(
                f"a record is at {target} already",
                where="the new place",
                expected="a place where there is none yet",
            )
        new.add(old.rows())
        return new.head()


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
