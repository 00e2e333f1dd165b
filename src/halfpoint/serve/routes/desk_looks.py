"""What needs a look, one after another, and deciding it."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from pydantic import Field

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.crop import look_png
from halfpoint.errors import NotInLedger
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.paper import Asked
from halfpoint.ledger.pictures import picture_of
from halfpoint.ledger.replay import State
from halfpoint.ledger.review import asked_about
from halfpoint.serve.desk.anew import Anew
from halfpoint.serve.desk.bodies import SignedReason
from halfpoint.serve.desk.decided_looks import DecidedLook, Telling, decided_looks, thing_called
from halfpoint.serve.desk.decisions import Came, Deciding
from halfpoint.serve.desk.desk import Desk
from halfpoint.serve.desk.looks import Kind, LookItem
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting
from halfpoint.serve.problems import Refused
from halfpoint.serve.routes.desk_results import AtDesk
from halfpoint.serve.served import Served
from halfpoint.serve.wire.marks import Shape

router = APIRouter(prefix='/api/desk', tags=['desk: what needs a look'])
PNG = 'image/png'


class LookList(Shape):
    """A part of the list."""

    version: int
    """The last record taken into account."""
    counts: dict[Kind, int]
    """How many there are of each kind, over the whole list."""
    items: list[LookItem]


class LookDecision(SignedReason):
    """How something is decided: by the key of a choice, or by a value that was typed."""

    choice: Annotated[str, Field(max_length=1)] | None = None
    value: Annotated[str, Field(max_length=200)] | float | None = None
    anew: bool = False
    """It was decided before, and this is a new decision over that one."""


class DecidedList(Shape):
    """What was decided, the newest first."""

    items: list[DecidedLook]
    before: int | None
    """To be sent back for those that were decided earlier; null when these are the first."""


class LookDecided(Shape):
    """What came of it."""

    entries: list[int]
    """Entries that were made."""
    corrected: list[int]
    held: list[str]
    """Why it waits again, when it could not be taken."""


@router.get('/looks')
async def looks(
    _: AsOrganiser,
    here: AtTasting,
    at: AtDesk,
    kind: Kind | None = None,
    after: Annotated[str, Query(max_length=300, description="Id of the last one seen.")] = '',
    most: Annotated[int, Query(ge=1, le=500)] = 50,
) -> LookList:
    """What needs a look, in the order in which it is best decided."""
    found = await at.looks.catch_up(here)
    place = at.looks.place_of(after) if after else None
    return LookList(
        version=found.version,
        counts=found.counts,
        items=list(found.after(place, kind, most)),
    )


@router.get('/looks/decided')
async def decided(
    _: AsOrganiser,
    here: AtTasting,
    at: AtDesk,
    before: Annotated[int, Query(ge=0, description="As the list before gave it.")] = 0,
    most: Annotated[int, Query(ge=1, le=200)] = 20,
) -> DecidedList:
    """What was decided, with who, when and why; each can be decided anew."""
    decisions = await at.decided.catch_up(here)
    found = await here.writer.read(
        lambda state: decided_looks(here.tasting, state, decisions, before, most + 1)
    )
    last = found[most - 1].decisions[-1].record if len(found) > most else None
    return DecidedList(items=found[:most], before=last)


@router.post('/looks/{key}')
async def decide(
    key: str, decision: LookDecision, organiser: AsOrganiser, here: AtTasting, at: AtDesk
) -> LookDecided:
    """Decide one thing, or decide it anew; it is recorded with the name of who, and the reason."""
    who, why = decision.name(organiser), decision.why.strip()
    decisions = await at.decided.catch_up(here) if decision.anew else None
    waits = None if decision.anew else await _waiting(at, here, key)

    def job(ledger: Ledger, state: State) -> Came:
        poured = here.plan(state).poured if state.plan is not None else None
        deciding = Deciding(ledger, state, here.tasting, poured, who, why)
        if waits is not None:
            return deciding.decide(waits, _value(waits, decision))
        if decisions is None or (thing := thing_called(decisions, key)) is None:
            raise _decided_already(key)
        look = Telling(here.tasting, state, decisions).look(thing)
        if look is None:
            raise _decided_already(key)
        return Anew(deciding, decisions, thing).decide(look.item, _value(look.item, decision))

    came = await here.writer.do(job)
    return LookDecided(
        entries=list(came.entries), corrected=list(came.corrected), held=list(came.held)
    )


@router.get(
    '/crops/{page}/{place}/{field}.png',
    response_class=Response,
    responses={200: {'content': {PNG: {}}}, 304: {}},
)
async def crop(
    request: Request,
    page: int,
    place: int,
    field: str,
    _: AsOrganiser,
    here: AtTasting,
    about: Annotated[str, Query(max_length=200)] = '',
) -> Response:
    """The part of a page where something stands; the whole page as place 0, field `page`."""

    def look(state: State) -> tuple[str, Rectangle | None]:
        if field == 'page':
            return state.papers.numbered(page).page.picture, None
        this = asked_about(state, Asked(page, place, field, about))
        return this.picture, this.look.area

    picture, area = await here.writer.read(look)
    tag = f'"{picture[:16]}-{place}-{field}-{len(about)}"'
    headers = {'ETag': tag, 'Cache-Control': 'private, max-age=3600'}
    if not picture:
        raise NotInLedger("no picture is kept of this page", remedy="look at the paper itself")
    if tag in request.headers.get('If-None-Match', ''):
        return Response(status_code=304, headers=headers)
    png = await asyncio.to_thread(lambda: look_png(picture_of(here.tasting.beside, picture), area))
    return Response(png, media_type=PNG, headers=headers)


async def _waiting(at: Desk, here: Served, key: str) -> LookItem | None:
    item = at.looks.item(key)
    if item is None:
        await at.looks.catch_up(here)
        item = at.looks.item(key)
    return item


def _decided_already(key: str) -> Refused:
    return Refused(
        409, 'decided-already', "this waits no longer: it was decided, or taken in again",
        where=key[:80], remedy="go on with the next",
    )  # fmt: skip


def _value(item: LookItem, decision: LookDecision) -> float | str | None:
    if decision.choice is None:
        if decision.value is None:
            raise Refused(
                422, 'nothing-decided', "neither a choice nor a value", where='choice',
                expected="one of them", remedy="press the key of a choice",
            )  # fmt: skip
        return decision.value
    for choice in item.choices:
        if choice.key == decision.choice:
            return choice.value
    raise Refused(
        422, 'no-such-choice', f"no choice {decision.choice!r}", where='choice',
        expected=", ".join(f"{each.key}: {each.label}" for each in item.choices),
        remedy="press one of these keys",
    )  # fmt: skip
