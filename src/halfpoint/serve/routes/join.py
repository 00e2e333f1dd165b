"""Taking a seat: a code opens a table, and a device sits down at one of its seats."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Request
from pydantic import Field

from halfpoint.publish.handouts.care import CAUTIONS
from halfpoint.serve.guard.limits import address_of
from halfpoint.serve.guard.roles import Here
from halfpoint.serve.house import House
from halfpoint.serve.problems import Refused
from halfpoint.serve.seating import Joining, Seat, Seating
from halfpoint.serve.wire.marks import Shape, Uuid
from halfpoint.serve.wire.names import TypedName
from halfpoint.serve.wire.sheet import NameShown

router = APIRouter(tags=['join'])

Code = Annotated[str, Field(max_length=40, examples=['RKT7 4C'])]


class Knock(Shape):
    """A code as it was read or typed."""

    code: Code
    """Six letters and digits; capitals, spaces and hyphens do not matter."""


class SeatFree(Shape):
    """A seat at the table."""

    seat: int
    taken: bool
    """Whether a device sits here already; a second one may sit down beside it."""


class JoinedTasting(Shape):
    """The tasting, as far as a taster must know it before sitting down."""

    title: str
    invented: bool


class Table(Shape):
    """What a code opens."""

    site: NameShown
    table: int
    seats: list[SeatFree]
    """Those that the code lets one choose from."""
    tasting: JoinedTasting
    cautions: list[str]
    """What everybody should read before the first glass."""


class SitDown(Shape):
    """A device takes a seat."""

    code: Code
    seat: Annotated[int, Field(ge=1, le=1_000_000)]
    device: Uuid
    """Made on the device, once; the same device at the same seat is the same again."""
    name: TypedName = ''
    """The taster's name, when given; kept by the desk, never with the marks."""


class Seated(Shape):
    """The device sits; the token is for every request from now on."""

    token: str
    """Shown this once, and kept only as its hash."""
    site: str
    seat: int
    taster: str
    """What the record calls whoever sits here."""
    again: bool
    """Whether another device sat here before."""


@router.post('/api/join')
async def join(knock: Knock, request: Request, here: Here) -> Table:
    """Find the table of a code."""
    opened, seating = await _open(knock.code, request, here)
    taken = {device.seat for device in here.desk.devices(opened.site)}
    tasting = seating.plan.tasting
    return Table(
        site=NameShown(key=opened.site, name=seating.site_name(opened.site)),
        table=opened.table,
        seats=[
            SeatFree(seat=seat.seat, taken=seat.seat in taken) for seat in _choice(opened, seating)
        ],
        tasting=JoinedTasting(title=tasting.title, invented=tasting.invented),
        cautions=list(CAUTIONS),
    )


@router.post('/api/join/seat')
async def sit_down(place: SitDown, request: Request, here: Here) -> Seated:
    """Take a seat at the table of a code."""
    opened, seating = await _open(place.code, request, here)
    seat = next((one for one in _choice(opened, seating) if one.seat == place.seat), None)
    if seat is None:
        raise Refused(
            404,
            'no-such-seat',
            f"no seat {place.seat} at this table",
            where='seat',
            expected="a seat that this code opens",
            remedy="look at the number on the seat's label",
        )
    others = [
        device
        for device in here.desk.devices(seat.site)
        if device.seat == seat.seat and device.device != place.device
    ]
    token = await asyncio.to_thread(_seat, here, seat, place)
    return Seated(
        token=token, site=seat.site, seat=seat.seat, taster=seat.taster, again=bool(others)
    )


def _seat(here: House, seat: Seat, place: SitDown) -> str:
    if place.name:
        here.desk.set_name(seat.taster, place.name)
    return here.desk.add_device(place.device, seat.site, seat.seat)


def _choice(opened: Joining, seating: Seating) -> list[Seat]:
    seats = seating.at_table(opened.site, opened.table)
    return [seat for seat in seats if opened.seat in {None, seat.seat}]


async def _open(code: str, request: Request, here: House) -> tuple[Joining, Seating]:
    address, counters = address_of(request), here.counters
    counters.wrong_codes.check(address)
    counters.joins_by_address.check(address)
    counters.joins_by_address.count(address)
    seating = await here.seating()
    opened = seating.find(code)
    if opened is None:
        counters.wrong_codes.count(address)
        raise Refused(
            404,
            'unknown-code',
            "no table here has this code",
            where='code',
            expected="the six letters and digits on the card of the table",
            remedy="look at the card again, and type it once more",
        )
    counters.joins_by_code.check(opened.code)
    counters.joins_by_code.count(opened.code)
    return opened, seating
