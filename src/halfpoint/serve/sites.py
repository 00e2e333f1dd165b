"""A host's own site: its seats, what has come from them, and its evening by the clock."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC

from halfpoint.ledger.records import RowHeld
from halfpoint.ledger.replay import State
from halfpoint.publish.handouts.care import CAUTIONS
from halfpoint.publish.handouts.evening import Evening, Table
from halfpoint.publish.handouts.wording import clock
from halfpoint.serve.desk_store import DeskStore, Device
from halfpoint.serve.problems import Refused
from halfpoint.serve.room import Room
from halfpoint.serve.seating import Seat
from halfpoint.serve.seats import entries_of, held_expected
from halfpoint.serve.wire.site import (
    FlightShown,
    HeldShown,
    RoundShown,
    RunSheet,
    SeatShown,
    SiteShown,
    TableRounds,
    TableShown,
)
from halfpoint.tasting.model import Tasting


@dataclass(frozen=True, slots=True)
class Beside:
    """What the desk knows of a site beside the record: devices, and names by taster."""

    devices: tuple[Device, ...]
    names: Mapping[str, str]

    @classmethod
    def of(cls, desk: DeskStore, tasting: Tasting, site: str) -> Beside:
        """Read from the desk's file."""
        listed = {taster.key: taster.name for taster in tasting.tasters if taster.name}
        typed = {named.taster: named.name for named in desk.names() if named.name}
        return cls(tuple(desk.devices(site)), {**listed, **typed})


def site_page(room: Room, state: State, beside: Beside, site: str) -> SiteShown:
    """The whole site at a glance."""
    waiting = waiting_at(room, state, site)
    held = [row.original.get('taster') for row in waiting.values()]
    tables: dict[int, list[SeatShown]] = defaultdict(list)
    for seat in seats_at(room, site):
        tables[seat.table].append(_seat(room, state, beside, seat, held))
    seats = [shown for rows in tables.values() for shown in rows]
    codes = room.seating.table_codes
    return SiteShown(
        site=room.site_shown(site),
        tasting=room.tasting_shown(state),
        tables=[
            TableShown(table=number, code=codes.get((site, number), ''), seats=rows)
            for number, rows in sorted(tables.items())
        ],
        expected=sum(shown.pours for shown in seats if not shown.added),
        arrived=sum(shown.sent for shown in seats),
        held=[_held_shown(room, site, number, row) for number, row in waiting.items()],
        server_time=room.served.utc(),
    )


def seats_at(room: Room, site: str) -> list[Seat]:
    """The seats of a site by number, those added among them."""
    seats = (seat for seat in room.seating.seats.values() if seat.site == site)
    return sorted(seats, key=lambda seat: seat.seat)


def waiting_at(room: Room, state: State, site: str) -> dict[int, RowHeld]:
    """The held rows of a site that wait, by number."""
    is_all = not room.tasting.sites
    rows = state.waiting().items()
    return {n: row for n, row in rows if is_all or row.original.get('site') == site}


def _seat(
    room: Room, state: State, beside: Beside, seat: Seat, held: Sequence[str | None]
) -> SeatShown:
    devices = [device for device in beside.devices if device.seat == seat.seat]
    seen = max((device.seen for device in devices), default=None)
    return SeatShown(
        seat=seat.seat,
        name=beside.names.get(seat.taster, ''),
        taster=state.called.get(seat.taster, seat.taster),
        added=seat.added,
        pours=len(room.pours_at(seat)),
        sent=len({entry.now.code or entry.number for entry in entries_of(room, state, seat)}),
        held=held.count(seat.taster),
        devices=len(devices),
        last_seen=seen.astimezone(UTC).isoformat().replace('+00:00', 'Z') if seen else None,
    )


def _held_shown(room: Room, site: str, number: int, row: RowHeld) -> HeldShown:
    taster = row.original.get('taster', '')
    numbers = (s.seat for s in seats_at(room, site) if s.taster == taster)
    return HeldShown(
        id=number,
        seat=next(numbers, None),
        code=row.original.get('code', ''),
        field=row.field,
        found=row.found,
        expected=held_expected(row),
    )


def free_seat(room: Room, site: str, table: int) -> tuple[int, int]:
    """The number of a new seat at a table, and the seat whose order is poured there too.

    That is the seat of the table which fewest others share, so that bottles last.

    Raises:
        Refused: 404, there is no such table.
    """
    seats = seats_at(room, site)
    planned = [seat.seat for seat in seats if seat.table == table and not seat.added]
    if not planned:
        raise Refused(
            404,
            'no-such-table',
            f"no table {table} at this site",
            expected="a table of the plan",
            remedy="look at the number on the table's card",
        )
    shared = [seat.like for seat in seats if seat.added]
    like = min(planned, key=lambda seat: (shared.count(seat), seat))
    return max(seat.seat for seat in seats) + 1, like


def run_sheet_shown(room: Room, site: str) -> RunSheet:
    """The evening of a site by the clock, without wines."""
    evening = room.plan.evenings[site]
    flights = sorted({flight for flight, _ in evening.rounds})
    settings = room.tasting.plan
    return RunSheet(
        site=room.site_shown(site),
        pour_ml=settings.pour_ml,
        break_minutes=settings.break_minutes,
        flights=[_flight(evening, flight) for flight in flights],
        cautions=list(CAUTIONS),
    )


def _flight(evening: Evening, flight: int) -> FlightShown:
    pours = [pour for pour in evening.pours if pour.flight == flight]
    first = min(pour.position for pour in pours)
    return FlightShown(
        flight=flight,
        begins=clock(evening.begins(flight, first)),
        bags=sorted({pour.bag for pour in pours}, key=lambda bag: (len(bag), bag)),
        codes=sorted({pour.code for pour in pours}),
        tables=[
            TableRounds(table=table.number, rounds=_rounds(table, flight))
            for table in evening.tables
        ],
    )


def _rounds(table: Table, flight: int) -> list[RoundShown]:
    return [
        RoundShown(
            position=each.position,
            begins=clock(each.begins),
            bags={str(seat): bag for seat, bag in sorted(each.bag_at.items())},
        )
        for each in table.rounds
        if each.flight == flight
    ]
