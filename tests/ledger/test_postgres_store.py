"""A record in PostgreSQL: what the database itself refuses, and what is said when it is not there.

The error codes are those of the appendix "PostgreSQL Error Codes" of the PostgreSQL manual.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import psycopg
import pytest
from tests.ledger.sample import arrived
from tests.postgres import Server

from halfpoint.errors import (
    DiskFull,
    HalfpointError,
    LedgerAltered,
    LedgerBusy,
    LedgerError,
    OutputError,
    UsageError,
)
from halfpoint.ledger import postgres_store
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.postgres_store import PostgresStore
from halfpoint.ledger.store import APPLICATION
from halfpoint.tasting.record_place import Database


@pytest.fixture
def place(postgres: Server) -> Database:
    """A schema that is not there yet."""
    return postgres.new()


@pytest.fixture
def ledger(place: Database) -> Iterator[Ledger]:
    """A record with one entry."""
    with opened(place) as ledger:
        ledger.append([arrived()], who="Mira")
        yield ledger


@pytest.fixture
def raw(postgres: Server, place: Database) -> Iterator[psycopg.Connection]:
    """Another program at the same database."""
    with postgres.raw(place) as raw:
        yield raw


def opened(place: Database) -> Ledger:
    """The record there, begun when it is not there."""
    return Ledger.open(place, tasting_key='spring', title="Spring")


def refused(place: Database) -> HalfpointError:
    """How opening the record is refused."""
    with pytest.raises(HalfpointError) as refusal:
        opened(place)
    return refusal.value


@pytest.mark.parametrize('role', ['origin', 'replica'])
@pytest.mark.parametrize(
    'statement',
    [
        "UPDATE record SET who = 'Mallory'",
        "UPDATE record SET who = 'Mallory' WHERE sequence = 99",
        'DELETE FROM record',
        'TRUNCATE record',
        (
            "INSERT INTO record VALUES (2, 'entry', '', '', '', '', '')"
            ' ON CONFLICT (sequence) DO UPDATE SET who = EXCLUDED.who'
        ),
        "INSERT INTO record VALUES (9, 'entry', '', '', '', '', '')",
        "INSERT INTO record VALUES (3, 'entry', '', '', '', 'another', '')",
        (
            "INSERT INTO record SELECT 3, kind, made, who, body, hash, 'x' FROM record"
            ' WHERE sequence = 2 UNION ALL'
            " SELECT 4, kind, made, who, body, hash, 'y' FROM record WHERE sequence = 2"
        ),
        (
            "MERGE INTO record USING (SELECT 1 AS n) AS other ON sequence = n"
            " WHEN MATCHED THEN UPDATE SET who = 'Mallory'"
        ),
    ],
)
def test_the_database_itself_refuses_change(
    ledger: Ledger, raw: psycopg.Connection, statement: str, role: str
) -> None:
    """Any program is refused updates, deletions and odd insertions, a replaying one too."""
    raw.execute(f'SET session_replication_role = {role}')
    with pytest.raises(psycopg.errors.RestrictViolation, match='append-only'):
        raw.execute(statement)
    assert 2 == ledger.head.count
    assert ledger.verify().holds


@pytest.mark.parametrize(
    'statement',
    [
        'DROP TRIGGER record_keeps_what_it_says ON record',
        'ALTER TABLE record DISABLE TRIGGER record_grows_at_its_end',
        'ALTER TABLE record ENABLE TRIGGER record_keeps_what_it_says',
        (
            'CREATE OR REPLACE FUNCTION record_refuses() RETURNS trigger LANGUAGE plpgsql'
            ' AS $$ BEGIN RETURN NULL; END $$'
        ),
    ],
)
def test_guards_that_were_taken_out_do_not_verify(
    ledger: Ledger, raw: psycopg.Connection, statement: str
) -> None:
    """`verify` finds guards that were dropped, switched off, weakened or rewritten."""
    assert ledger.verify().holds
    raw.execute(statement)
    assert "guards" in ledger.verify().what


def test_what_was_forged_without_the_guards_does_not_verify(
    ledger: Ledger, raw: psycopg.Connection
) -> None:
    """An owner who takes the guards out and puts them back is found by the chain."""
    raw.execute('ALTER TABLE record DISABLE TRIGGER ALL')
    raw.execute("UPDATE record SET who = 'Mallory' WHERE sequence = 2")
    raw.execute('ALTER TABLE record ENABLE ALWAYS TRIGGER record_keeps_what_it_says')
    raw.execute('ALTER TABLE record ENABLE ALWAYS TRIGGER record_grows_at_its_end')
    assert 2 == ledger.verify().broken_at


@pytest.mark.parametrize('default', ['synchronous_commit = off',
                                     "default_transaction_isolation = 'serializable'",
                                     'default_transaction_read_only = on'])  # fmt: skip
def test_defaults_of_the_server_change_no_promise(
    postgres: Server, place: Database, default: str
) -> None:
    """Whatever is usual at this server, the pen waits for the disk and reads what was written."""
    with postgres.raw() as raw:
        raw.execute(f'ALTER DATABASE postgres SET {default}')
        try:
            with PostgresStore(place, create=True) as store, store.writing():
                asked = [
                    store._one(f'SHOW {name}')[0]
                    for name in (
                        'synchronous_commit', 'transaction_isolation', 'transaction_read_only',
                    )
                ]  # fmt: skip
        finally:
            raw.execute(f"ALTER DATABASE postgres RESET {default.partition(' ')[0]}")
    assert ['on', 'read committed', 'off'] == asked


def test_two_records_share_a_database(postgres: Server) -> None:
    """Each schema is a record of its own, and one pen does not hold up the other."""
    spring, autumn = postgres.new(), postgres.new()
    with (
        opened(spring) as one,
        Ledger.open(autumn, tasting_key='autumn', patience=0.05) as other,
        one.writing(),
    ):
        one.append([arrived()], who="Mira")
        assert (2, 3) == other.append([arrived(), arrived(wine='w2')], who="Zoë")
    with pytest.raises(LedgerError) as refusal:
        Ledger.open(spring, tasting_key='autumn')
    assert '?schema=autumn' in refusal.value.remedy


def test_a_schema_that_somebody_made_is_used(postgres: Server) -> None:
    """A user who may make no schema uses one that the owner of the database made."""
    place = replace(postgres.new(), user='guest', password='a-guest')
    with postgres.raw() as raw:
        raw.execute("CREATE ROLE guest LOGIN PASSWORD 'a-guest'")
        refusal = refused(place)
        assert isinstance(refusal, OutputError)
        assert 'CREATE SCHEMA' in refusal.remedy
        raw.execute(f'CREATE SCHEMA {place.schema} AUTHORIZATION guest')
        with opened(place) as ledger:
            assert (2,) == ledger.append([arrived()], who="Mira")


def test_another_table_is_not_taken_for_a_record(place: Database, raw: psycopg.Connection) -> None:
    """A table of the same name that some other program made is refused and left as it is."""
    raw.execute(f'CREATE SCHEMA {place.schema}')
    raw.execute('CREATE TABLE record (bottle text)')
    assert 'not a record of halfpoint' in str(refused(place))
    assert [] == raw.execute('SELECT * FROM record').fetchall()


def test_who_begins_second_finds_what_the_first_began(
    place: Database, raw: psycopg.Connection
) -> None:
    """While one begins a record another waits, and goes on with what the first has made."""
    with ThreadPoolExecutor(1) as threads:
        with raw.transaction():
            raw.execute('SELECT pg_advisory_xact_lock(%s)', [APPLICATION << 32])
            second = threads.submit(lambda: opened(place).close())
            _wait_until_one_waits(raw)
            raw.execute(f'CREATE SCHEMA {place.schema}')
            raw.execute(postgres_store._SCHEMA.replace('{schema}', place.schema))
        second.result(20)


def _wait_until_one_waits(raw: psycopg.Connection) -> None:
    query = "SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND NOT granted"
    until = time.monotonic() + 20
    while raw.execute(query).fetchone() != (1,):
        assert time.monotonic() < until
        time.sleep(0.02)


def test_a_later_form_is_not_guessed_at(place: Database, raw: psycopg.Connection) -> None:
    """A record made by a later halfpoint is refused with what to do."""
    opened(place).close()
    raw.execute("COMMENT ON TABLE record IS 'a record of halfpoint, form 2'")
    assert 'update halfpoint' in refused(place).remedy


def test_a_database_of_few_letters_is_refused(postgres: Server, place: Database) -> None:
    """A database that cannot hold every name is refused before anything is made."""
    with postgres.raw() as raw:
        raw.execute("CREATE DATABASE latin ENCODING 'LATIN1' LOCALE 'C' TEMPLATE template0")
    refusal = refused(replace(place, database='latin'))
    assert 'LATIN1' in refusal.found
    assert '--encoding UTF8' in refusal.remedy


def test_a_server_that_does_not_wait_for_the_disk_is_refused(
    postgres: Server, place: Database
) -> None:
    """With fsync off PostgreSQL may lose what it acknowledged (its manual, section 19.5.1)."""
    with postgres.raw() as raw:
        try:
            _set_fsync(postgres, raw, 'off')
            assert 'fsync off' in refused(place).found
        finally:
            _set_fsync(postgres, raw, 'on')
    opened(place).close()


def _set_fsync(postgres: Server, raw: psycopg.Connection, value: str) -> None:
    raw.execute(f'ALTER SYSTEM SET fsync = {value}')
    raw.execute('SELECT pg_reload_conf()')
    until = time.monotonic() + 20
    while time.monotonic() < until:
        with postgres.raw() as other:
            if (value,) == other.execute('SHOW fsync').fetchone():
                return
        time.sleep(0.02)
    raise TimeoutError


def test_a_dump_is_a_whole_copy(ledger: Ledger, postgres: Server, place: Database) -> None:
    """What pg_dump writes and psql takes in is the same record, guards and all, and goes on."""
    dump = postgres.run('pg_dump', '--schema', place.schema, place.database)
    with postgres.raw() as raw:
        raw.execute('CREATE DATABASE elsewhere')
    postgres.run('psql', '--quiet', '-v', 'ON_ERROR_STOP=1', 'elsewhere', given=dump)
    with Ledger.open(
        replace(place, database='elsewhere'), tasting_key='spring', create=False
    ) as copy:
        assert ledger.head == copy.head
        assert copy.verify().holds
        assert (3,) == copy.append([arrived(wine='w2')], who="Mira")


def test_a_lost_connection_loses_nothing(ledger: Ledger, raw: psycopg.Connection) -> None:
    """A step during which the server goes away is refused whole; the next one is recorded."""

    def lose() -> None:
        raw.execute(
            'SELECT pg_terminate_backend(pid) FROM pg_stat_activity'
            " WHERE application_name = 'halfpoint'"
        )

    def step() -> None:
        with ledger.writing():
            ledger.append([arrived(wine='lost')], who="Mira")
            list(ledger.records())
            lose()
            ledger.append([arrived(wine='lost too')], who="Mira")

    with pytest.raises(LedgerError, match='cannot be reached'):
        step()
    assert 2 == ledger.head.count
    lose()
    with pytest.raises(LedgerError, match='cannot be reached'):
        ledger.append([arrived(wine='w2')], who="Mira")
    assert (3,) == ledger.append([arrived(wine='w2')], who="Mira")
    assert ledger.verify().holds


def test_a_step_that_the_database_gave_up_is_not_acknowledged(
    ledger: Ledger, place: Database
) -> None:
    """Where a statement failed and somebody went on, the end says that nothing was recorded."""
    store = ledger._store
    assert isinstance(store, PostgresStore)

    def step() -> None:
        with ledger.writing():
            ledger.append([arrived(wine='w2')], who="Mira")
            list(ledger.records())
            with pytest.raises(LedgerError):
                store.add([next(ledger.records())])

    with pytest.raises(LedgerError, match='nothing of this step was recorded'):
        step()
    assert 2 == ledger.head.count


def test_no_server_is_said(place: Database) -> None:
    """Where nothing listens it is said at once, with the address and what to look at."""
    refusal = refused(replace(place, port=1))
    assert isinstance(refusal, LedgerError)
    assert "cannot be reached" in refusal.found
    assert ':1/postgres' in refusal.where
    assert '.pgpass' in refusal.remedy


def test_no_password_is_repeated(place: Database) -> None:
    """A wrong password, a wrong user or a wrong database: no refusal says the password."""
    wrong = [
        replace(place, password='rotten-cork'),
        replace(place, user='nobody-here', password='rotten-cork'),
        replace(place, database='rotten', password=place.password),
        replace(place, port=1, password='rotten-cork'),
    ]
    for each in wrong:
        said = f'{refused(each)} {each} {each!r} {each.name}'
        assert 'rotten-cork' not in said
        assert place.password not in said


@pytest.mark.parametrize(
    ('code', 'kind'),
    [
        ('55P03', LedgerBusy), ('40P01', LedgerBusy), ('53100', DiskFull),
        ('XX001', LedgerAltered), ('XX002', LedgerAltered), ('42501', OutputError),
        ('25006', OutputError), ('57P01', LedgerError), ('08006', LedgerError),
        ('42P01', LedgerError), ('57014', LedgerError),
    ],
)  # fmt: skip
def test_each_error_of_the_server_is_said_in_words(
    ledger: Ledger, place: Database, raw: psycopg.Connection, code: str, kind: type[HalfpointError]
) -> None:
    """What the server itself raises with a code becomes the refusal that fits, and no other."""
    with pytest.raises(psycopg.Error) as raised:
        raw.execute(f"DO $$ BEGIN RAISE EXCEPTION 'a mishap' USING ERRCODE = '{code}'; END $$")
    refusal = postgres_store._refusal(place, raised.value)
    assert kind is type(refusal)
    assert (code in {'57P01', '08006'}) is ('cannot be reached' in refusal.found)
    assert str(place) == refusal.where


def test_without_psycopg_the_part_is_named(
    place: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the part for PostgreSQL is not installed, it is said how to install it."""
    monkeypatch.delitem(sys.modules, 'halfpoint.ledger.postgres_store')
    monkeypatch.setitem(sys.modules, 'psycopg', None)
    with pytest.raises(UsageError) as refusal:
        opened(place)
    assert "halfpoint[postgres]" in refusal.value.remedy


def test_only_a_record_in_postgresql_loads_psycopg(tmp_path: Path) -> None:
    """Whoever keeps the record in a file does not wait for psycopg."""
    program = (
        'import sys; from pathlib import Path; from halfpoint.ledger.ledger import Ledger;'
        f"Ledger.open(Path({str(tmp_path / 'a')!r}), tasting_key='a').close();"
        "sys.exit('psycopg' in sys.modules)"
    )
    assert 0 == subprocess.run([sys.executable, '-c', program], check=False).returncode
