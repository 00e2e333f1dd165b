"""A copy of the record as it stands at one moment, while others go on writing."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from halfpoint.errors import LedgerError
from halfpoint.ledger.store import no_record


def copy_of(path: Path) -> bytes:
    """The record as the bytes of one file, whole, with nothing half written.

    Raises:
        LedgerError: there is no record, or it cannot be read.
    """
    if not path.exists():
        raise no_record(path)
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
