"""A host's own site: who has sent what, one more seat, and the evening by the clock."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from halfpoint.publish.handouts import Paper
from halfpoint.publish.handouts.single import WITHOUT_WINES, site_paper
from halfpoint.serve.answers import as_json, tagged
from halfpoint.serve.guard.roles import AsHost, Here
from halfpoint.serve.problems import Refused
from halfpoint.serve.room import InRoom, forget_room
from halfpoint.serve.routes.sheet import SENDING
from halfpoint.serve.sites import Beside, free_seat, run_sheet_shown, site_page
from halfpoint.serve.wire.site import RunSheet, SeatAdded, SeatAsked, SiteShown

router = APIRouter(tags=['host'])
PDF = 'application/pdf'


@router.get('/api/site', response_model=SiteShown, responses={304: {}, **SENDING})
async def get_site(request: Request, who: AsHost, here: InRoom, house: Here) -> Response:
    """The site: its tables and seats, who has sent what, and what waits."""
    beside = Beside.of(house.desk, here.tasting, who.site)
    shown = await here.writer.read(lambda state: site_page(here, state, beside, who.site))
    return tagged(request, shown)


@router.post('/api/site/seats', response_model=SeatAdded, responses=SENDING)
async def post_seat(
    request: Request, who: AsHost, here: InRoom, house: Here, asked: SeatAsked
) -> Response:
    """Add a seat at a table. The plan stays: the same bags are poured as at another seat."""
    number, like = free_seat(here, who.site, asked.table)
    house.desk.add_seat(who.site, number, asked.table, like)
    forget_room(request.app)
    taster = here.plan.taster(who.site, number)
    if asked.name.strip():
        house.desk.set_name(taster, asked.name.strip())
    return as_json(SeatAdded(seat=number, table=asked.table, taster=taster, pours_like=like))


@router.get('/api/site/run-sheet', response_model=RunSheet, responses={304: {}, **SENDING})
async def get_run_sheet(request: Request, who: AsHost, here: InRoom) -> Response:
    """The evening by the clock: letters of bags, seats, codes; no wines."""
    return tagged(request, run_sheet_shown(here, who.site))


@router.get(
    '/api/site/papers/{kind}.pdf',
    response_class=Response,
    responses={200: {'content': {PDF: {}}}, **SENDING},
)
async def get_paper(
    who: AsHost,
    here: InRoom,
    kind: str,
    paper: Annotated[str, Query(pattern='^(a4|us-letter)$')] = 'a4',
) -> Response:
    """A paper of the site to print; none that names a wine."""
    if kind not in WITHOUT_WINES:
        raise Refused(
            404,
            'no-such-paper',
            "no such paper for a host",
            where='kind',
            expected=f"one of {', '.join(WITHOUT_WINES)}",
            remedy="ask the organiser for the others",
        )
    size: Paper = 'us-letter' if paper == 'us-letter' else 'a4'
    pdf = await asyncio.to_thread(
        site_paper, here.tasting, here.plan.plan, who.site, kind, paper=size
    )
    headers = {
        'Content-Disposition': f'inline; filename="{kind}.pdf"',
        'Cache-Control': 'private, no-cache',
    }
    return Response(pdf, media_type=PDF, headers=headers)
