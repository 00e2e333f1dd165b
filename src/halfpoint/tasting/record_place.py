"""Where a record lies: a file, or a schema of a PostgreSQL database, as a path or a URL says."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import parse_qsl, unquote, urlsplit

from halfpoint.errors import UsageError

# A scheme as in RFC 3986, section 3.1; with one letter it is a drive.
_URL = re.compile(r'(?P<scheme>[A-Za-z][A-Za-z0-9+.-]+):(?P<rest>//.*|$)', re.DOTALL)
_SCHEMA = re.compile(r'(?!pg_)[a-z_][a-z0-9_]{0,62}')
# https://www.postgresql.org/docs/current/libpq-connect.html#LIBPQ-PARAMKEYWORDS
_OPTIONS = (
    'host', 'sslmode', 'sslrootcert', 'sslcert', 'sslkey', 'channel_binding', 'connect_timeout',
    'passfile', 'target_session_attrs',
)  # fmt: skip
_FILE = "a path, or sqlite:///PATH (sqlite:////PATH from the root)"
_DATABASE = "postgresql://USER@HOST:PORT/DATABASE"
_ALL = (
    "a path, sqlite:///PATH (sqlite:////PATH from the root), "
    "or postgresql://USER@HOST:PORT/DATABASE"
)


@dataclass(frozen=True, slots=True)
class Database:
    """One schema of a PostgreSQL database, in which one record lies.

    Where user, host or port is empty, libpq takes its own default, from the environment first
    (https://www.postgresql.org/docs/current/libpq-envars.html). `options` are others that libpq
    knows, such as `sslmode`.
    """

    database: str
    user: str = ''
    password: str = field(default='', repr=False)
    host: str = ''
    port: int | None = None
    schema: str = 'halfpoint'
    options: tuple[tuple[str, str], ...] = ()

    def __str__(self) -> str:
        user = f'{self.user}@' if self.user else ''
        host = f'[{self.host}]' if ':' in self.host else self.host
        port = '' if self.port is None else f':{self.port}'
        schema = '' if self.schema == 'halfpoint' else f'?schema={self.schema}'
        return f'postgresql://{user}{host}{port}/{self.database}{schema}'

    @property
    def name(self) -> str:
        """What people call it: its address without the password."""
        return str(self)


RecordPlace = Path | Database


def record_place(text: str, where: str = "--ledger") -> RecordPlace:
    """The place that a path or a URL names.

    Raises:
        UsageError: another database, or neither a file nor a database is named.
    """
    found = _URL.fullmatch(text)
    if found is None:
        return _path(text, text, where)
    scheme, rest = found['scheme'].lower(), found['rest']
    if scheme == 'sqlite':
        if not rest.startswith('///') or '?' in rest or '#' in rest:
            raise UsageError(
                text, where=where, expected=_FILE, remedy="name one file, and nothing else"
            )
        return _path(unquote(rest.removeprefix('///')), text, where)
    if scheme in {'postgres', 'postgresql'}:
        return _database(text, where)
    # Only the scheme: an address may hold a password.
    raise UsageError(
        f"{scheme}://, in which halfpoint keeps no record",
        where=where,
        expected=_ALL,
        remedy="name a file on a disk of this machine, or a PostgreSQL database",
    )


def _path(named: str, text: str, where: str) -> Path:
    if not named.strip() or '\0' in named:
        raise UsageError(
            text if text.strip() else "nothing", where=where, expected=_ALL,
            remedy="name the file of the record",
        )  # fmt: skip
    return Path(named)


def _database(text: str, where: str) -> Database:
    try:
        url = urlsplit(text)
        port = url.port
        asked = dict(parse_qsl(url.query, keep_blank_values=True, strict_parsing=bool(url.query)))
    except ValueError as reason:
        raise _unreadable(where) from reason
    database = unquote(url.path.removeprefix('/'))
    if not database or '/' in database or url.fragment or '\0' in unquote(text):
        raise _unreadable(where)
    schema = asked.pop('schema', 'halfpoint')
    _check_asked(schema, asked, where)
    return Database(
        database=database,
        user=unquote(url.username or ''),
        password=unquote(url.password or ''),
        host=unquote(url.hostname or ''),
        port=port,
        schema=schema,
        options=tuple(sorted(asked.items())),
    )


def _unreadable(where: str) -> UsageError:
    return UsageError(
        "an address of PostgreSQL that cannot be read",
        where=where,
        expected=_DATABASE,
        remedy="write signs such as @ / : ? # % within a part as %40 %2F %3A %3F %23 %25",
    )


def _check_asked(schema: str, asked: dict[str, str], where: str) -> None:
    if not _SCHEMA.fullmatch(schema):
        raise UsageError(
            f"the schema '{schema}'",
            where=where,
            expected="up to 63 of a-z, 0-9 and _, not beginning with a digit or pg_",
            remedy="name it otherwise, as in ?schema=autumn_2026",
        )
    unknown = sorted(asked.keys() - set(_OPTIONS))
    if unknown:
        raise UsageError(
            f"?{unknown[0]}= in an address of PostgreSQL",
            where=where,
            expected=f"schema, {', '.join(_OPTIONS)}",
            remedy="leave it out; libpq takes more from its environment",
        )
