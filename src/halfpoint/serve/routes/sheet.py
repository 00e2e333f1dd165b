"""The taster's sheet: what a phone gets, and what it sends."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from halfpoint.serve.answers import as_json, tagged
from halfpoint.serve.group import Groups, result_shown
from halfpoint.serve.guard.roles import AsTaster
from halfpoint.serve.problems import Refusal, Refused
from halfpoint.serve.room import InRoom
from halfpoint.serve.seats import agree, sheet_shown, take
from halfpoint.serve.sent_body import BODY, sent_entries
from halfpoint.serve.wire.marks import EntryAnswers, SentEntries, Shape
from halfpoint.serve.wire.result import ResultShown
from halfpoint.serve.wire.sheet import SheetShown

router = APIRouter(tags=['taster'])
REFUSALS: dict[int | str, dict[str, object]] = {
    401: {'model': Refusal, 'description': "The device has no seat here."},
    403: {'model': Refusal, 'description': "This is for somebody else."},
    404: {'model': Refusal, 'description': "There is no tasting, or no such seat, any more."},
    409: {'model': Refusal, 'description': "Nothing is planned yet, or another device's token."},
}
SENDING: dict[int | str, dict[str, object]] = {
    **REFUSALS,
    413: {'model': Refusal, 'description': "More than 64 sheets or 256 KB at once."},
    422: {'model': Refusal, 'description': "Not as agreed; nothing was recorded."},
    503: {'model': Refusal, 'description': "Nothing was recorded; send again in a moment."},
    507: {'model': Refusal, 'description': "No space on the server's disk; nothing was recorded."},
}


@router.get('/api/sheet', response_model=SheetShown, responses={304: {}, **REFUSALS})
async def get_sheet(request: Request, who: AsTaster, here: InRoom) -> Response:
    """The score sheet, this seat's pours by code, and what has arrived from it. Never a wine."""
    seat = here.seat(who.site, who.seat)
    shown = await here.writer.read(lambda state: sheet_shown(here, state, seat))
    return tagged(request, shown)


@router.put(
    '/api/sheet/entries', response_model=EntryAnswers, responses=SENDING, openapi_extra=BODY
)
async def put_entries(request: Request, who: AsTaster, here: InRoom) -> Response:
    """Record sheets of this seat; each is answered, and what is answered is on the disk.

    The same version again adds nothing, so that what was not answered can always be sent again.
    """
    sent = await sent_entries(request)
    check_device(sent, who.device)
    seat = here.seat(who.site, who.seat)
    return as_json(await take(here, seat, sent, source="phone of"))


class LetterWish(Shape):
    """Whether the taster wants a letter."""

    wanted: bool
    """True to get one, false not to, or no longer."""


@router.put('/api/sheet/letter', responses=REFUSALS)
async def put_letter(wish: LetterWish, who: AsTaster, here: InRoom) -> LetterWish:
    """Agree to a letter after the tasting, or take that back; taking part needs neither."""
    await agree(here, here.seat(who.site, who.seat), letter=wish.wanted)
    return wish


@router.get('/api/sheet/result', response_model=ResultShown, responses={304: {}, **REFUSALS})
async def get_result(request: Request, who: AsTaster, here: InRoom) -> Response:
    """After the reveal: which wine was which, the own marks, and the group's beside them."""
    if await here.writer.read(lambda state: state.revealed) is None:
        raise Refused(
            403,
            'not-revealed',
            "the wines are not revealed yet",
            expected="the organiser's reveal",
            remedy="ask again when the organiser has told the wines",
        )
    seat, group = here.seat(who.site, who.seat), await _groups(request).now(here)
    return tagged(
        request, await here.writer.read(lambda state: result_shown(here, state, seat, group))
    )


def _groups(request: Request) -> Groups:
    groups: Groups | None = getattr(request.app.state, 'groups', None)
    if groups is None:
        groups = request.app.state.groups = Groups()
    return groups


def check_device(sent: SentEntries, device: str) -> None:
    """Refuse sheets of another device than the one that joined.

    Raises:
        Refused: 409.
    """
    if sent.device.lower() != device.lower():
        raise Refused(
            409,
            'other-device',
            "sheets of another device than the one that joined",
            where='device',
            expected="the name that this device gave itself when it joined",
            remedy="join again with the code on the table; what is on this device stays",
        )
