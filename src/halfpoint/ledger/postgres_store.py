"""The record in one schema of a PostgreSQL database.

All SQL of it is in this file. Imported only where a record lies there, as psycopg is an extra.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any, LiteralString

import psycopg
from psycopg import errors
from psycopg.pq import TransactionStatus

from halfpoint.errors import HalfpointError, LedgerAltered, LedgerError, OutputError
from halfpoint.ledger.chain import START, Head, Record
from halfpoint.ledger.store import (
    APPLICATION,
    ROWS_AT_ONCE,
    SCHEMA_VERSION,
    Store,
    busy,
    disk_full,
    in_parts,
    later_form,
    no_record,
    row_of,
)
from halfpoint.tasting.record_place import Database

_FORM = re.compile(r'a record of halfpoint, form (\d+)')
_READ_AT_ONCE = 1000

_REFUSES = '''
BEGIN
  RAISE EXCEPTION 'the record is append-only' USING ERRCODE = 'restrict_violation';
END'''
_FOLLOWS = '''
DECLARE
  last bigint;
  head text;
BEGIN
  SELECT sequence, hash INTO last, head FROM {schema}.record ORDER BY sequence DESC LIMIT 1;
  IF NEW.sequence IS DISTINCT FROM coalesce(last, 0) + 1
      OR NEW.previous IS DISTINCT FROM coalesce(head, repeat('0', 64)) THEN
    RAISE EXCEPTION 'the record is append-only' USING ERRCODE = 'restrict_violation';
  END IF;
  RETURN NEW;
END'''
# ALWAYS: also where a session says that it only replays what another server did.
_SCHEMA = f'''
CREATE TABLE {{schema}}.record (
  sequence bigint PRIMARY KEY,
  kind     text NOT NULL,
  made     text NOT NULL,
  who      text NOT NULL,
  body     text NOT NULL,
  previous text NOT NULL,
  hash     text NOT NULL
);
CREATE FUNCTION {{schema}}.record_refuses() RETURNS trigger LANGUAGE plpgsql
  AS $guard${_REFUSES}$guard$;
CREATE FUNCTION {{schema}}.record_follows() RETURNS trigger LANGUAGE plpgsql
  AS $guard${_FOLLOWS}$guard$;
CREATE TRIGGER record_keeps_what_it_says BEFORE UPDATE OR DELETE OR TRUNCATE ON {{schema}}.record
  FOR EACH STATEMENT EXECUTE FUNCTION {{schema}}.record_refuses();
CREATE TRIGGER record_grows_at_its_end BEFORE INSERT ON {{schema}}.record
  FOR EACH ROW EXECUTE FUNCTION {{schema}}.record_follows();
ALTER TABLE {{schema}}.record ENABLE ALWAYS TRIGGER record_keeps_what_it_says;
ALTER TABLE {{schema}}.record ENABLE ALWAYS TRIGGER record_grows_at_its_end;
COMMENT ON TABLE {{schema}}.record IS 'a record of halfpoint, form {SCHEMA_VERSION}';
'''
# `tgtype` is ROW 1, BEFORE 2, INSERT 4, DELETE 8, UPDATE 16, TRUNCATE 32 (pg_trigger.h).
_GUARDS = (
    ('record_keeps_what_it_says', 2 + 8 + 16 + 32, 'A', _REFUSES),
    ('record_grows_at_its_end', 1 + 2 + 4, 'A', _FOLLOWS),
)


class PostgresStore(Store):
    """The record in PostgreSQL: one pen by an advisory lock, triggers that refuse change.

    A connection that was lost is made anew with the next use, except while the pen is held.

    Raises (every method):
        LedgerBusy: another process held the pen for longer than `patience` seconds.
        LedgerAltered: the database says that its files are damaged.
        LedgerError: it cannot be reached, or what is there is not a record of halfpoint.
        DiskFull, OutputError: nothing could be written.
    """

    def __init__(self, place: Database, *, create: bool, patience: float = 10.0) -> None:
        self._place = place
        self._patience = max(1, round(patience * 1000))
        self._writing = False
        self._connection = self._connect()
        try:
            with self._refusing():
                self._prepare(create)
        except BaseException:
            self._connection.close()
            raise

    def rows(self, after: int = 0) -> Iterator[Record]:
        """The records after this sequence number, in order."""
        query = self._sql(
            'SELECT sequence, kind, made, who, body, previous, hash FROM {schema}.record'
            ' WHERE sequence > %s ORDER BY sequence LIMIT %s'
        )
        # Part by part, few at first, as whoever asks may stop soon. A commit shows whole or not at
        # all, and nothing before it changes, so that the parts fit together.
        size = 10
        while True:
            with self._refusing():
                several = [Record(*row) for row in self._live().execute(query, (after, size))]
            yield from several
            if len(several) < size:
                return
            after, size = several[-1].sequence, min(10 * size, _READ_AT_ONCE)

    def head(self) -> Head:
        """The end of the record."""
        query = 'SELECT sequence, hash FROM {schema}.record ORDER BY sequence DESC LIMIT 1'
        with self._refusing():
            row = self._live().execute(self._sql(query)).fetchone()
        return Head(*row) if row else Head(0, START)

    def add(self, records: Iterable[Record]) -> None:
        """Add records at the end; only within `writing`."""
        with self._refusing():
            for several in in_parts(records, ROWS_AT_ONCE):
                rows = ', '.join(['(%s, %s, %s, %s, %s, %s, %s)'] * len(several))
                values = [value for r in several for value in row_of(r)]
                query = self._sql('INSERT INTO {schema}.record VALUES ') + rows
                self._live().execute(query, values)

    @contextmanager
    def writing(self) -> Iterator[None]:
        """Hold the only pen; all that is added is on disk when this ends, or none of it."""
        with self._transaction(self._pen):
            yield

    def damage(self) -> str:
        """What is wrong with the database as such, in words; empty when nothing is."""
        query = '''
            SELECT t.tgname, t.tgtype, t.tgenabled::text, p.prosrc
            FROM pg_trigger t JOIN pg_proc p ON p.oid = t.tgfoid
            WHERE t.tgrelid = %s AND t.tgqual IS NULL AND t.tgattr = '' '''
        with self._refusing():
            found = set(self._live().execute(query, [self._table]))
        guards = {(*guard[:3], self._sql(guard[3])) for guard in _GUARDS}
        if not found.issuperset(guards):
            return "the guards that refuse every change to the record were taken out"
        return ''

    def close(self) -> None:
        """Let go of the database."""
        self._connection.close()

    # --- the form of the record ---------------------------------------------------------

    def _prepare(self, create: bool) -> None:
        self._check_server()
        if self._find() is None:
            if not create:
                raise no_record(str(self._place))
            self._make_schema()
        table, form = self._find() or (0, 0)
        if form > SCHEMA_VERSION:
            raise later_form(form, str(self._place))
        self._table = table
        # One pen for each record of the database.
        self._pen = APPLICATION << 32 | table

    def _check_server(self) -> None:
        encoding = self._connection.info.parameter_status('server_encoding')
        if encoding != 'UTF8':
            raise LedgerError(
                f"a database in {encoding}, which cannot hold every name and remark",
                where=str(self._place),
                expected="a database in UTF8",
                remedy="make one: createdb --encoding UTF8 --template template0 NAME",
            )
        (synced,) = self._one('SHOW fsync')
        if synced != 'on':
            raise LedgerError(
                f"the database server has fsync {synced}, so that marks may be lost with the power",
                where=str(self._place),
                expected="fsync on",
                remedy="have it set in postgresql.conf, and the server started again",
            )

    def _find(self) -> tuple[int, int] | None:
        """The table's number and its form; None where there is none. Refuses any other table."""
        # Not by to_regclass, which may go on saying for a while what it said before.
        query = '''
            SELECT c.oid::bigint, obj_description(c.oid, 'pg_class')
            FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
            WHERE n.nspname = %s AND c.relname = 'record' '''
        row = self._live().execute(query, [self._place.schema]).fetchone()
        if row is None:
            return None
        form = _FORM.fullmatch(row[1] or '')
        if form is None:
            raise LedgerError(
                "this table is not a record of halfpoint",
                where=f"{self._place}, table record",
                expected="a schema without a table of this name",
                remedy="name another schema in the address, as in ?schema=autumn",
            )
        return row[0], int(form[1])

    def _make_schema(self) -> None:
        query = 'SELECT count(*) FROM pg_namespace WHERE nspname = %s'
        with self._transaction(APPLICATION << 32):
            # Another process may have made it while this one waited.
            if self._find() is None:
                if self._one(query, self._place.schema) == (0,):
                    self._connection.execute(self._sql('CREATE SCHEMA {schema}'))
                self._connection.execute(self._sql(_SCHEMA))

    # --- the connection -----------------------------------------------------------------

    def _connect(self) -> psycopg.Connection:
        place = self._place
        named: dict[str, Any] = {
            'user': place.user, 'password': place.password, 'host': place.host, 'port': place.port,
            'connect_timeout': '10', **dict(place.options),
        }  # fmt: skip
        try:
            return psycopg.connect(
                dbname=place.database, autocommit=True, client_encoding='UTF8',
                application_name='halfpoint', prepare_threshold=None,
                **{name: value for name, value in named.items() if value},
            )  # fmt: skip
        except psycopg.Error as reason:
            raise _not_reached(place, reason) from reason

    def _live(self) -> psycopg.Connection:
        """The connection; made anew when it was lost, unless that would split what is written."""
        if self._connection.closed and not self._writing:
            self._connection = self._connect()
        return self._connection

    @contextmanager
    def _transaction(self, lock: int) -> Iterator[None]:
        """All of it or nothing, by one at a time for each lock; on disk when it ends."""
        connection = self._live()
        self._writing = True
        try:
            with self._refusing():
                # Whatever the server's defaults are: read what the last pen wrote, and wait
                # until what is written is on the disk.
                connection.execute(
                    'BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE;'
                    ' SET LOCAL synchronous_commit TO on;'
                    f' SET LOCAL lock_timeout TO {self._patience};'
                    f' SELECT pg_advisory_xact_lock({lock})'
                )
            yield
            with self._refusing():
                _commit(connection)
        except BaseException:
            _roll_back(connection)
            raise
        finally:
            self._writing = False

    def _one(self, query: LiteralString, *values: str) -> tuple[Any, ...]:
        return next(self._live().execute(query, values))

    def _sql(self, text: str) -> LiteralString:
        # The schema has only a-z, 0-9 and _ in its name (see `record_place`).
        return text.replace('{schema}', f'"{self._place.schema}"')

    @contextmanager
    def _refusing(self) -> Iterator[None]:
        try:
            yield
        except psycopg.Error as reason:
            raise _refusal(self._place, reason) from reason


def _commit(connection: psycopg.Connection) -> None:
    # PostgreSQL answers ROLLBACK, and no error, where a statement before had failed.
    if connection.execute('COMMIT').statusmessage != 'COMMIT':
        raise errors.InFailedSqlTransaction("nothing of this step was recorded")


def _roll_back(connection: psycopg.Connection) -> None:
    try:
        if connection.info.transaction_status is not TransactionStatus.IDLE:
            connection.execute('ROLLBACK')
    except psycopg.Error:
        # Lost, or in the middle of a statement: once it is closed the server undoes the rest.
        connection.close()


def _refusal(place: Database, reason: psycopg.Error) -> HalfpointError:
    where, message = str(place), _message(reason)
    if isinstance(reason, errors.LockNotAvailable | errors.DeadlockDetected):
        return busy(where)
    if isinstance(reason, errors.DiskFull):
        return disk_full(where)
    if isinstance(reason, errors.DataCorrupted | errors.IndexCorrupted):
        return LedgerAltered(
            f"the record cannot be read ({message})",
            where=where,
            remedy="keep the database as it is, and go back to the last copy that verifies",
        )
    if isinstance(reason, errors.InsufficientPrivilege | errors.ReadOnlySqlTransaction):
        return OutputError(
            f"the record could not be opened or written ({message})",
            where=where,
            expected="a database in which this user may make a schema, or a schema of the user's",
            remedy="have the owner of the database make it: CREATE SCHEMA ... AUTHORIZATION ...",
        )
    if _is_lost(reason):
        return _not_reached(place, reason)
    return LedgerError(f"the record refused ({message})", where=where)


def _is_lost(reason: psycopg.Error) -> bool:
    # Classes 08 and 57 of https://www.postgresql.org/docs/current/errcodes-appendix.html, but for
    # a statement that took too long; what libpq itself finds has no code.
    if isinstance(reason, errors.QueryCanceled):
        return False
    code = reason.sqlstate or '08'
    return isinstance(reason, psycopg.OperationalError) and code[:2] in {'08', '57'}


def _not_reached(place: Database, reason: psycopg.Error) -> LedgerError:
    return LedgerError(
        f"the database cannot be reached ({_message(reason)})",
        where=str(place),
        expected="a PostgreSQL server that runs, and lets this user in",
        remedy=(
            "look whether it runs and the address is right; a password can stand in ~/.pgpass or "
            "in PGPASSWORD. Nothing that was acknowledged is lost"
        ),
    )


def _message(reason: psycopg.Error) -> str:
    """The first thing said, without the rows it is about."""
    return ' '.join((reason.diag.message_primary or str(reason)).split())
