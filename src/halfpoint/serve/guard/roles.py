"""Who asks: the organiser, the host of one site, or the taster at one seat.

The organiser shows a cookie, hosts and tasters a bearer's token.  A route names one of
`AsOrganiser`, `AsHost` or `AsTaster` among its parameters, and after it `AtTasting`, the tasting
with its record, or `Here`, for the desk's own file.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated

from fastapi import Depends, Request
from fastapi.security import APIKeyCookie, HTTPBearer

from halfpoint.serve.desk_store import Device, HostLink
from halfpoint.serve.guard.csrf import check_own_page
from halfpoint.serve.house import House
from halfpoint.serve.problems import Refused
from halfpoint.serve.served import Served

COOKIE = 'halfpoint_desk'

_cookie = APIKeyCookie(name=COOKIE, auto_error=False, scheme_name='organiser')
_bearer_of_host = HTTPBearer(auto_error=False, scheme_name='host')
_bearer_of_taster = HTTPBearer(auto_error=False, scheme_name='taster')


@dataclass(frozen=True, slots=True)
class Organiser:
    """The organiser. `who` is the name that goes with what is recorded."""

    who: str
    ends: datetime


@dataclass(frozen=True, slots=True)
class Host:
    """The host of one site, by link."""

    site: str
    link: int

    @property
    def who(self) -> str:
        """The name that goes with what is recorded."""
        return f'host of {self.site}'


@dataclass(frozen=True, slots=True)
class SeatTaster:
    """The taster at one seat, by device; `device` is the UUID it gave itself."""

    site: str
    seat: int
    device: str
    number: int


def house(request: Request) -> House:
    """What every route works on."""
    here: House = request.app.state.house
    return here


async def _house(request: Request) -> House:
    return house(request)


async def served(here: Annotated[House, Depends(_house)]) -> Served:
    """The tasting with its record."""
    return await here.served()


Here = Annotated[House, Depends(_house)]
AtTasting = Annotated[Served, Depends(served)]


def organiser_of(request: Request) -> Organiser:
    """The organiser, by cookie.

    Raises:
        Refused: 401 without a session, 403 when another page asks.
    """
    token = request.cookies.get(COOKIE)
    session = house(request).desk.session(token) if token else None
    if session is None:
        raise _who_are_you("the desk is for the organiser", "log in at the desk with the password")
    check_own_page(request)
    request.state.organiser = True
    return Organiser(session.who, session.ends)


def host_of(request: Request) -> Host:
    """The host, by link.

    Raises:
        Refused: 401 without a link that holds, 403 with the token of a taster.
    """
    found = _opened(request)
    if isinstance(found, Device):
        raise _not_yours("this page is for the host of the site")
    if found is None:
        raise _who_are_you("this page is for hosts", "open the link that the organiser has sent")
    if not found.holds(datetime.now(UTC)):
        why = "was taken back" if found.revoked else "has run out"
        raise _who_are_you(f"this link {why}", "ask the organiser for a new link")
    return Host(found.site, found.id)


def taster_of(request: Request) -> SeatTaster:
    """The taster, by device.

    Raises:
        Refused: 401 without the token of a seat, 403 with the link of a host.
    """
    found = _opened(request)
    if isinstance(found, HostLink):
        raise _not_yours("this page is for a taster at a seat")
    if found is None:
        raise _who_are_you(
            "this device has no seat here",
            "join again with the code on the table; what is on this device stays",
        )
    house(request).desk.seen(found.id)
    return SeatTaster(found.site, found.seat, found.device, found.id)


def _opened(request: Request) -> HostLink | Device | None:
    scheme, _, token = request.headers.get('Authorization', '').partition(' ')
    if scheme.lower() != 'bearer':
        return None
    return house(request).desk.opens(token.strip())


# The second parameter tells the OpenAPI document what is to be shown.
async def _organiser(request: Request, _: Annotated[object, Depends(_cookie)]) -> Organiser:
    return organiser_of(request)


async def _host(request: Request, _: Annotated[object, Depends(_bearer_of_host)]) -> Host:
    return host_of(request)


async def _taster(request: Request, _: Annotated[object, Depends(_bearer_of_taster)]) -> SeatTaster:
    return taster_of(request)


AsOrganiser = Annotated[Organiser, Depends(_organiser)]
AsHost = Annotated[Host, Depends(_host)]
AsTaster = Annotated[SeatTaster, Depends(_taster)]


def _who_are_you(found: str, remedy: str) -> Refused:
    return Refused(401, 'who-are-you', found, remedy=remedy, headers={'WWW-Authenticate': 'Bearer'})


def _not_yours(found: str) -> Refused:
    return Refused(403, 'not-yours', found, remedy="go back to your own page")
