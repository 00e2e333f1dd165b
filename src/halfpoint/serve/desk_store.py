"""What the desk keeps beside the record: password, sessions, links, devices, names, added seats.

A SQLite file of its own, with nothing that a result is made of.  Tokens are kept as their hash.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Self

import sqlalchemy as sql
from sqlalchemy import Column, Integer, String, Table, UniqueConstraint
from sqlalchemy.exc import DatabaseError, OperationalError

from halfpoint.errors import DiskFull, LedgerBusy, LedgerError, OutputError
from halfpoint.serve.guard.tokens import kept_as, new_token
from halfpoint.writing import writing_refusal

SCHEMA_VERSION = 1

_meta = sql.MetaData()
_kept = Table('kept', _meta, Column('name', String, primary_key=True), Column('value', String))
_session = Table(
    'session',
    _meta,
    Column('token', String, primary_key=True),
    Column('who', String, nullable=False),
    Column('made', String, nullable=False),
    Column('ends', String, nullable=False),
)
_host = Table(
    'host',
    _meta,
    Column('id', Integer, primary_key=True),
    Column('token', String, nullable=False, unique=True),
    Column('site', String, nullable=False),
    Column('made', String, nullable=False),
    Column('ends', String, nullable=False),
    Column('revoked', String),
)
_device = Table(
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
_name = Table(
    'name',
    _meta,
    Column('taster', String, primary_key=True),
    Column('name', String, nullable=False),
    Column('consent', Integer, nullable=False, default=0),
)
_added = Table(
    'added_seat',
    _meta,
    Column('site', String, primary_key=True),
    Column('seat', Integer, primary_key=True),
    Column('table', Integer, nullable=False),
    Column('like', Integer, nullable=False),
    Column('made', String, nullable=False),
)


@dataclass(frozen=True, slots=True)
class Session:
    """Somebody at the desk; `who` is the name that goes with what they decide."""

    who: str
    ends: datetime


@dataclass(frozen=True, slots=True)
class HostLink:
    """A link for one site. `ends` and `revoked` are moments; `revoked` is None while it holds."""

    id: int
    site: str
    made: datetime
    ends: datetime
    revoked: datetime | None

    def holds(self, now: datetime) -> bool:
        """Whether it opens anything at this moment."""
        return self.revoked is None and now < self.ends


@dataclass(frozen=True, slots=True)
class Device:
    """A device at a seat; `device` is the UUID it gave itself."""

    id: int
    device: str
    site: str
    seat: int
    made: datetime
    seen: datetime


@dataclass(frozen=True, slots=True)
class AddedSeat:
    """A seat a host has added: it is poured in the order of the planned seat `like`."""

    site: str
    seat: int
    table: int
    like: int
    made: datetime


@dataclass(frozen=True, slots=True)
class Named:
    """The name somebody typed for a taster, and whether it may be published."""

    taster: str
    name: str
    consent: bool


class DeskStore:
    """The desk's own file. Any thread may ask; writing waits for its turn.

    Raises (every method):
        LedgerBusy: another process kept the file locked.
        LedgerError: the file is damaged, or is not a desk of this version.
        DiskFull, OutputError: nothing could be written.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._lock = threading.RLock()
        # What tokens open, as far as it was asked for; forgotten whenever that may change.
        self._opened: dict[str, HostLink | Device] = {}
        self._changes = 0
        self._seen: dict[int, datetime] = {}
        self._engine = sql.create_engine(
            sql.URL.create('sqlite', database=str(path)), connect_args={'timeout': 10}
        )
        sql.event.listen(self._engine, 'connect', _prepare_connection)
        with self._refusing():
            _begin(self._engine, path)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()

    def close(self) -> None:
        """Write what is still to be written, and let go of the file."""
        self.keep_seen()
        self._engine.dispose()

    # --- the password, and other single things ------------------------------------------

    def kept(self, name: str) -> str | None:
        """A single thing kept under a name: `password` (its hash), `secret`."""
        query = sql.select(_kept.c.value).where(_kept.c.name == name)
        return next((str(row.value) for row in self._rows(query)), None)

    def keep(self, name: str, value: str) -> None:
        """Keep a single thing under a name, in place of what was there."""
        with self._writing() as connection:
            connection.execute(_kept.delete().where(_kept.c.name == name))
            connection.execute(_kept.insert().values(name=name, value=value))

    # --- the organiser's sessions -------------------------------------------------------

    def begin_session(self, lasting: timedelta, who: str = 'organiser') -> str:
        """Begin a session of somebody, and give its token; those that have ended are forgotten."""
        token, now = new_token(), _now()
        row = {'who': who, 'made': _text(now), 'ends': _text(now + lasting)}
        with self._writing() as connection:
            connection.execute(_session.delete().where(_session.c.ends <= _text(now)))
            connection.execute(_session.insert().values(token=kept_as(token), **row))
        return token

    def session(self, token: str) -> Session | None:
        """The session with this token; None when there is none, or it has ended."""
        query = sql.select(_session.c.who, _session.c.ends).where(
            _session.c.token == kept_as(token), _session.c.ends > _text(_now())
        )
        return next((Session(r.who, _moment(r.ends)) for r in self._rows(query)), None)

    def end_session(self, token: str) -> None:
        """End one session."""
        with self._writing() as connection:
            connection.execute(_session.delete().where(_session.c.token == kept_as(token)))

    def end_sessions(self) -> None:
        """End all sessions, as after a change of password."""
        with self._writing() as connection:
            connection.execute(_session.delete())

    # --- links for hosts ----------------------------------------------------------------

    def add_host(self, site: str, lasting: timedelta) -> tuple[HostLink, str]:
        """Make a link for a site; give it with its token, which is not kept."""
        token, now = new_token(), _now()
        row = {'site': site, 'made': _text(now), 'ends': _text(now + lasting)}
        with self._writing() as connection:
            made = connection.execute(_host.insert().values(token=kept_as(token), **row))
            number = int(made.lastrowid)
        return HostLink(number, site, _moment(row['made']), _moment(row['ends']), None), token

    def hosts(self) -> list[HostLink]:
        """Every link ever made, newest first."""
        return [_host_link(row) for row in self._rows(_host.select().order_by(_host.c.id.desc()))]

    def revoke_host(self, number: int) -> bool:
        """Take a link back; False when there is none of this number."""
        change = _host.update().where(_host.c.id == number, _host.c.revoked.is_(None))
        with self._writing() as connection:
            connection.execute(change.values(revoked=_text(_now())))
        return any(self._rows(sql.select(_host.c.id).where(_host.c.id == number)))

    # --- devices at seats ---------------------------------------------------------------

    def add_device(self, device: str, site: str, seat: int) -> str:
        """Seat a device, and give its token; one that sat here before gets a new token."""
        token, now = new_token(), _text(_now())
        here = (_device.c.device == device) & (_device.c.site == site) & (_device.c.seat == seat)
        with self._writing() as connection:
            changed = connection.execute(
                _device.update().where(here).values(token=kept_as(token), seen=now)
            )
            if changed.rowcount == 0:
                row = {'device': device, 'site': site, 'seat': seat, 'made': now, 'seen': now}
                connection.execute(_device.insert().values(token=kept_as(token), **row))
        return token

    def devices(self, site: str | None = None) -> list[Device]:
        """The devices at the seats of a site, or of all, with when each was last heard of."""
        query = _device.select().order_by(_device.c.site, _device.c.seat, _device.c.id)
        if site is not None:
            query = query.where(_device.c.site == site)
        return [self._device(row) for row in self._rows(query)]

    def forget_devices(self, site: str, seat: int) -> int:
        """Unseat every device at a seat; how many there were."""
        here = (_device.c.site == site) & (_device.c.seat == seat)
        with self._writing() as connection:
            gone = connection.execute(_device.delete().where(here))
        return int(gone.rowcount)

    def seen(self, number: int) -> None:
        """Note that a device was heard of just now; written down by `keep_seen`."""
        self._seen[number] = _now()

    def keep_seen(self) -> None:
        """Write down when devices were last heard of."""
        seen, self._seen = self._seen, {}
        if not seen:
            return
        change = _device.update().where(_device.c.id == sql.bindparam('number'))
        rows = [{'number': number, 'seen_at': _text(when)} for number, when in seen.items()]
        with self._writing() as connection:
            connection.execute(change.values(seen=sql.bindparam('seen_at')), rows)

    def opens(self, token: str) -> HostLink | Device | None:
        """What a bearer's token opens; a link that has ended is given too, to be told so."""
        hashed = kept_as(token)
        known, changes = self._opened.get(hashed), self._changes
        if known is None:
            known = self._look_up(hashed)
            if known is not None and changes == self._changes:
                self._opened[hashed] = known
        return known

    def _look_up(self, hashed: str) -> HostLink | Device | None:
        for row in self._rows(_device.select().where(_device.c.token == hashed)):
            return self._device(row)
        for row in self._rows(_host.select().where(_host.c.token == hashed)):
            return _host_link(row)
        return None

    def _device(self, row: Any) -> Device:
        seen = self._seen.get(row.id) or _moment(row.seen)
        return Device(row.id, row.device, row.site, row.seat, _moment(row.made), seen)

    # --- names, and seats that hosts have added -----------------------------------------

    def set_name(self, taster: str, name: str, *, consent: bool | None = None) -> None:
        """Keep the name of a taster; without `consent` that stays as it is, at first no."""
        before = next((n for n in self.names() if n.taster == taster), None)
        agreed = consent if consent is not None else before is not None and before.consent
        with self._writing() as connection:
            connection.execute(_name.delete().where(_name.c.taster == taster))
            connection.execute(_name.insert().values(taster=taster, name=name, consent=agreed))

    def forget_name(self, taster: str) -> None:
        """Forget the name of a taster."""
        with self._writing() as connection:
            connection.execute(_name.delete().where(_name.c.taster == taster))

    def names(self) -> list[Named]:
        """Every name that was typed."""
        return [
            Named(row.taster, row.name, bool(row.consent)) for row in self._rows(_name.select())
        ]

    def add_seat(self, site: str, seat: int, table: int, like: int) -> AddedSeat:
        """Add a seat to a table, poured in the order of another."""
        now = _now()
        row = {'site': site, 'seat': seat, 'table': table, 'like': like, 'made': _text(now)}
        with self._writing() as connection:
            connection.execute(_added.insert().values(row))
        return AddedSeat(site, seat, table, like, now)

    def added_seats(self) -> list[AddedSeat]:
        """Every seat that was added, in order."""
        query = _added.select().order_by(_added.c.site, _added.c.seat)
        return [
            AddedSeat(row.site, row.seat, row.table, row.like, _moment(row.made))
            for row in self._rows(query)
        ]

    # --- underneath ---------------------------------------------------------------------

    def _rows(self, query: sql.Select[Any]) -> Sequence[Any]:
        with self._refusing(), self._engine.connect() as connection:
            return connection.execute(query).all()

    @contextmanager
    def _writing(self) -> Iterator[sql.Connection]:
        with self._lock, self._refusing():
            with self._engine.begin() as connection:
                yield connection
            # What was looked up before is not to be remembered after this.
            self._changes += 1
            self._opened.clear()

    @contextmanager
    def _refusing(self) -> Iterator[None]:
        try:
            yield
        except OperationalError as reason:
            raise _refusal(self._path, str(reason.orig)) from reason
        except DatabaseError as reason:
            raise _not_a_desk(self._path) from reason


def _host_link(row: Any) -> HostLink:
    revoked = None if row.revoked is None else _moment(row.revoked)
    return HostLink(row.id, row.site, _moment(row.made), _moment(row.ends), revoked)


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


def _now() -> datetime:
    return datetime.now(UTC)


def _text(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec='seconds')


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text)
