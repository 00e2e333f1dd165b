"""Letting people in: links for hosts, and the codes of tables and seats."""

from __future__ import annotations

import asyncio
import io
from datetime import UTC, datetime, timedelta
from typing import Annotated

import segno
from fastapi import APIRouter, Query, Request, Response
from pydantic import Field

from halfpoint.serve.addresses import base_for_others
from halfpoint.serve.desk_store import HostLink
from halfpoint.serve.guard.roles import AsOrganiser, Here
from halfpoint.serve.house import House
from halfpoint.serve.problems import Refused
from halfpoint.serve.wire.marks import Shape

router = APIRouter(prefix='/api/desk', tags=['desk: people at the door'])

LONGEST_DAYS = 400


class ForHost(Shape):
    """A link that is wanted."""

    site: Annotated[str, Field(max_length=200)]
    """Key of the site."""
    days: Annotated[int, Field(ge=1, le=LONGEST_DAYS)] = 30
    """For how many days it opens the host's page."""


class HostShown(Shape):
    """A link that was made, without its token."""

    id: int
    site: str
    made: datetime
    ends: datetime
    revoked: datetime | None
    """When it was taken back; null while it was not."""
    holds: bool
    """Whether it opens anything now."""


class NewHost(Shape):
    """A new link, shown this once."""

    host: HostShown
    link: str
    """To be given to the host; what stands behind # is not kept here, and reaches no log."""


class JoinCodeShown(Shape):
    """A code that opens a table, or one seat."""

    site: str
    table: int
    seat: int | None
    """None for the code of the whole table, as it is on the table's card."""
    code: str
    url: str
    """What a phone opens to join."""
    svg: str
    """The address as a square pattern, an SVG drawing; white shows through."""


@router.get('/hosts')
async def hosts(_: AsOrganiser, here: Here) -> list[HostShown]:
    """Every link that was made for hosts, newest first."""
    return [_shown(link) for link in here.desk.hosts()]


@router.post('/hosts', status_code=201)
async def make_host(wanted: ForHost, request: Request, _: AsOrganiser, here: Here) -> NewHost:
    """Make a link for the host of a site."""
    sites = await _sites(here)
    if wanted.site not in sites:
        raise Refused(
            404,
            'no-such-site',
            f"no site '{wanted.site}' in this tasting",
            where='site',
            expected=f"one of {', '.join(sites[:8])}",
            remedy="choose a site of the list",
        )
    lasting = timedelta(days=wanted.days)
    link, token = await asyncio.to_thread(here.desk.add_host, wanted.site, lasting)
    base = base_for_others(request, here.settings)
    return NewHost(host=_shown(link), link=f'{base}/host#{token}')


@router.delete('/hosts/{number}', status_code=204)
async def revoke_host(number: int, _: AsOrganiser, here: Here) -> Response:
    """Take a link back; it opens nothing from now on."""
    known = number < 2**63 and await asyncio.to_thread(here.desk.revoke_host, number)
    if not known:
        raise Refused(404, 'no-such-link', f"no link {number}", remedy="load the page again")
    return Response(status_code=204)


@router.get('/join-codes')
async def codes(
    request: Request,
    _: AsOrganiser,
    here: Here,
    site: Annotated[str, Query(max_length=200)] = '',
    seats: bool = False,
) -> list[JoinCodeShown]:
    """The codes of the tables, those of the seats too when asked for, of one site or of all."""
    seating = await here.seating()
    base = base_for_others(request, here.settings)
    found = [(s, table, None, code) for (s, table), code in seating.table_codes.items()]
    more = [
        (s, seating.seats[s, seat].table, seat, code)
        for (s, seat), code in (seating.seat_codes.items() if seats else ())
    ]
    wanted = [each for each in [*found, *more] if site in {'', each[0]}]
    return await asyncio.to_thread(lambda: [_code(base, *each) for each in wanted])


def _code(base: str, site: str, table: int, seat: int | None, code: str) -> JoinCodeShown:
    url = f'{base}/join/{code}'
    drawn = io.BytesIO()
    segno.make(url, micro=False).save(drawn, kind='svg', xmldecl=False, svgns=True, omitsize=True)
    return JoinCodeShown(
        site=site, table=table, seat=seat, code=code, url=url, svg=drawn.getvalue().decode()
    )


async def _sites(here: House) -> list[str]:
    """The sites of the plan, and those that the file has besides."""
    served = await here.served()
    planned = await served.writer.read(
        lambda state: [] if state.plan is None else list(served.plan(state).evenings)
    )
    return list(dict.fromkeys([*planned, *(site.key for site in served.tasting.sites)]))


def _shown(link: HostLink) -> HostShown:
    return HostShown(
        id=link.id,
        site=link.site,
        made=link.made,
        ends=link.ends,
        revoked=link.revoked,
        holds=link.holds(datetime.now(UTC)),
    )
