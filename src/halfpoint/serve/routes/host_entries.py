"""A host types in what a taster wrote on paper."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request, Response

from halfpoint.serve.answers import as_json, tagged
from halfpoint.serve.guard.roles import AsHost
from halfpoint.serve.room import InRoom
from halfpoint.serve.routes.sheet import SENDING
from halfpoint.serve.seats import sheet_shown, take
from halfpoint.serve.sent_body import BODY, sent_entries
from halfpoint.serve.wire.marks import EntryAnswers
from halfpoint.serve.wire.sheet import SheetShown

router = APIRouter(tags=['host'])
SeatNumber = Annotated[int, Path(ge=1, le=100_000)]


@router.get(
    '/api/site/seats/{seat}/entries', response_model=SheetShown, responses={304: {}, **SENDING}
)
async def get_entries(request: Request, who: AsHost, here: InRoom, seat: SeatNumber) -> Response:
    """A seat's sheet, as its taster has it: for typing in what is on paper."""
    found = here.seat(who.site, seat)
    shown = await here.writer.read(lambda state: sheet_shown(here, state, found))
    return tagged(request, shown)


@router.put(
    '/api/site/seats/{seat}/entries',
    response_model=EntryAnswers,
    responses=SENDING,
    openapi_extra=BODY,
)
async def put_entries(request: Request, who: AsHost, here: InRoom, seat: SeatNumber) -> Response:
    """Record what a host has typed in for a seat, as from a phone.

    What contradicts an entry that is there already is held for the organiser.
    """
    sent = await sent_entries(request)
    found = here.seat(who.site, seat)
    return as_json(await take(here, found, sent, source="typed in for", who=who.who))
