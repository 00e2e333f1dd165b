"""Which store a record lies in, by its place."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from halfpoint.errors import UsageError
from halfpoint.ledger.store import NoRecord, SqliteStore, Store
from halfpoint.tasting.record_place import RecordPlace

if TYPE_CHECKING:
    from halfpoint.ledger.postgres_store import PostgresStore


def open_store(place: RecordPlace, *, create: bool, patience: float = 10.0) -> Store:
    """The record at this place, begun where there is none and `create` is True.

    Raises:
        UsageError: it lies in PostgreSQL, and the part for that is not installed.
        LedgerError, OutputError and their kinds: see `SqliteStore`, `PostgresStore`.
    """
    if isinstance(place, Path):
        return SqliteStore(place, create=create, patience=patience)
    return _postgres()(place, create=create, patience=patience)


def is_begun(place: RecordPlace) -> bool:
    """Whether there is a record at this place.

    Raises:
        UsageError, LedgerError, OutputError and their kinds: as `open_store`.
    """
    try:
        open_store(place, create=False).close()
    except NoRecord:
        return False
    return True


def _postgres() -> type[PostgresStore]:
    try:
        from halfpoint.ledger.postgres_store import PostgresStore  # noqa: PLC0415
    except ImportError as reason:
        raise UsageError(
            "a record in PostgreSQL needs psycopg, which is not installed",
            remedy="install it with: pip install 'halfpoint[postgres]'",
        ) from reason
    return PostgresStore
