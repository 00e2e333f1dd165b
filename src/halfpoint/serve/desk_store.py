"""What the desk keeps beside the record: password, sessions, links, devices, names, added seats.

A SQLite file of its own, with nothing that a result is made of.  Tokens are kept as their hash.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Self

import sqlalchemy as sql

from halfpoint.serve.desk_file import ADDED, DEVICE, HOST, KEPT, NAME, SESSION, DeskFile
from halfpoint.serve.guard.tokens import kept_as, new_token


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
        self._file = DeskFile(path)
        # What tokens open, as far as it was asked for; forgotten whenever that may change.
        self._opened: dict[str, HostLink | Device] = {}
        self._changes = 0
        self._seen: dict[int, datetime] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()

    def close(self) -> None:
        """Write what is still to be written, and let go of the file."""
        self.keep_seen()
        self._file.close()

    # --- the password, and other single things ------------------------------------------

    def kept(self, name: str) -> str | None:
        """A single thing kept under a name: `password` (its hash), `secret`."""
        query = sql.select(KEPT.c.value).where(KEPT.c.name == name)
        return next((str(row.value) for row in self._file.rows(query)), None)

    def keep(self, name: str, value: str) -> None:
        """Keep a single thing under a name, in place of what was there."""
        with self._writing() as connection:
            connection.execute(KEPT.delete().where(KEPT.c.name == name))
            connection.execute(KEPT.insert().values(name=name, value=value))

    # --- the organiser's sessions -------------------------------------------------------

    def begin_session(self, lasting: timedelta, who: str = 'organiser') -> str:
        """Begin a session of somebody, and give its token; those that have ended are forgotten."""
        token, now = new_token(), _now()
        row = {'who': who, 'made': _text(now), 'ends': _text(now + lasting)}
        with self._writing() as connection:
            connection.execute(SESSION.delete().where(SESSION.c.ends <= _text(now)))
            connection.execute(SESSION.insert().values(token=kept_as(token), **row))
        return token

    def session(self, token: str) -> Session | None:
        """The session with this token; None when there is none, or it has ended."""
        query = sql.select(SESSION.c.who, SESSION.c.ends).where(
            SESSION.c.token == kept_as(token), SESSION.c.ends > _text(_now())
        )
        return next((Session(r.who, _moment(r.ends)) for r in self._file.rows(query)), None)

    def end_session(self, token: str) -> None:
        """End one session."""
        with self._writing() as connection:
            connection.execute(SESSION.delete().where(SESSION.c.token == kept_as(token)))

    def end_sessions(self) -> None:
        """End all sessions, as after a change of password."""
        with self._writing() as connection:
            connection.execute(SESSION.delete())

    # --- links for hosts ----------------------------------------------------------------

    def add_host(self, site: str, lasting: timedelta) -> tuple[HostLink, str]:
        """Make a link for a site; give it with its token, which is not kept."""
        token, now = new_token(), _now()
        row = {'site': site, 'made': _text(now), 'ends': _text(now + lasting)}
        with self._writing() as connection:
            made = connection.execute(HOST.insert().values(token=kept_as(token), **row))
            number = int(made.lastrowid)
        return HostLink(number, site, _moment(row['made']), _moment(row['ends']), None), token

    def hosts(self) -> list[HostLink]:
        """Every link ever made, newest first."""
        return [
            _host_link(row) for row in self._file.rows(HOST.select().order_by(HOST.c.id.desc()))
        ]

    def revoke_host(self, number: int) -> bool:
        """Take a link back; False when there is none of this number."""
        change = HOST.update().where(HOST.c.id == number, HOST.c.revoked.is_(None))
        with self._writing() as connection:
            connection.execute(change.values(revoked=_text(_now())))
        return any(self._file.rows(sql.select(HOST.c.id).where(HOST.c.id == number)))

    # --- devices at seats ---------------------------------------------------------------

    def add_device(self, device: str, site: str, seat: int) -> str:
        """Seat a device, and give its token; one that sat here before gets a new token."""
        token, now = new_token(), _text(_now())
        here = (DEVICE.c.device == device) & (DEVICE.c.site == site) & (DEVICE.c.seat == seat)
        with self._writing() as connection:
            changed = connection.execute(
                DEVICE.update().where(here).values(token=kept_as(token), seen=now)
            )
            if changed.rowcount == 0:
                row = {'device': device, 'site': site, 'seat': seat, 'made': now, 'seen': now}
                connection.execute(DEVICE.insert().values(token=kept_as(token), **row))
        return token

    def devices(self, site: str | None = None) -> list[Device]:
        """The devices at the seats of a site, or of all, with when each was last heard of."""
        query = DEVICE.select().order_by(DEVICE.c.site, DEVICE.c.seat, DEVICE.c.id)
        if site is not None:
            query = query.where(DEVICE.c.site == site)
        return [self._device(row) for row in self._file.rows(query)]

    def forget_devices(self, site: str, seat: int) -> int:
        """Unseat every device at a seat; how many there were."""
        here = (DEVICE.c.site == site) & (DEVICE.c.seat == seat)
        with self._writing() as connection:
            gone = connection.execute(DEVICE.delete().where(here))
        return int(gone.rowcount)

    def seen(self, number: int) -> None:
        """Note that a device was heard of just now; written down by `keep_seen`."""
        self._seen[number] = _now()

    def keep_seen(self) -> None:
        """Write down when devices were last heard of."""
        seen, self._seen = self._seen, {}
        if not seen:
            return
        change = DEVICE.update().where(DEVICE.c.id == sql.bindparam('number'))
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
        for row in self._file.rows(DEVICE.select().where(DEVICE.c.token == hashed)):
            return self._device(row)
        for row in self._file.rows(HOST.select().where(HOST.c.token == hashed)):
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
            connection.execute(NAME.delete().where(NAME.c.taster == taster))
            connection.execute(NAME.insert().values(taster=taster, name=name, consent=agreed))

    def forget_name(self, taster: str) -> None:
        """Forget the name of a taster."""
        with self._writing() as connection:
            connection.execute(NAME.delete().where(NAME.c.taster == taster))

    def names(self) -> list[Named]:
        """Every name that was typed."""
        return [
            Named(row.taster, row.name, bool(row.consent)) for row in self._file.rows(NAME.select())
        ]

    def add_seat(self, site: str, seat: int, table: int, like: int) -> AddedSeat:
        """Add a seat to a table, poured in the order of another."""
        now = _now()
        row = {'site': site, 'seat': seat, 'table': table, 'like': like, 'made': _text(now)}
        with self._writing() as connection:
            connection.execute(ADDED.insert().values(row))
        return AddedSeat(site, seat, table, like, now)

    def added_seats(self) -> list[AddedSeat]:
        """Every seat that was added, in order."""
        query = ADDED.select().order_by(ADDED.c.site, ADDED.c.seat)
        return [
            AddedSeat(row.site, row.seat, row.table, row.like, _moment(row.made))
            for row in self._file.rows(query)
        ]

    # --- underneath ---------------------------------------------------------------------

    @contextmanager
    def _writing(self) -> Iterator[sql.Connection]:
        with self._file.writing() as connection:
            yield connection
        # What was looked up before is not to be remembered after this.
        self._changes += 1
        self._opened.clear()


def _host_link(row: Any) -> HostLink:
    revoked = None if row.revoked is None else _moment(row.revoked)
    return HostLink(row.id, row.site, _moment(row.made), _moment(row.ends), revoked)


def _now() -> datetime:
    return datetime.now(UTC)


def _text(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec='seconds')


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text)
