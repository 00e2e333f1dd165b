"""The moment the organiser opens which wine was which."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter
from pydantic import Field

from halfpoint.ledger.changes import reveal
from halfpoint.serve.desk.bodies import Signed
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting
from halfpoint.serve.problems import Refused
from halfpoint.serve.wire.marks import Shape

router = APIRouter(prefix='/api/desk', tags=['desk: reveal'])


class ToReveal(Signed):
    """To be sure that it is meant, the title of the tasting is typed."""

    confirm: Annotated[str, Field(max_length=300)]


class RevealShown(Shape):
    """Whether the wines are revealed."""

    revealed: bool
    who: str
    made: str | None
    """When, ISO 8601 UTC; null while they are not."""


@router.get('/reveal')
async def get_reveal(_: AsOrganiser, here: AtTasting) -> RevealShown:
    """Whether the wines are revealed, by whom and when."""
    record = await here.writer.read(lambda state: state.revealed)
    if record is None:
        return RevealShown(revealed=False, who='', made=None)
    return RevealShown(revealed=True, who=record.who, made=record.made)


@router.post('/reveal')
async def post_reveal(wanted: ToReveal, organiser: AsOrganiser, here: AtTasting) -> RevealShown:
    """Open which wine was which, for everybody; it cannot be undone."""
    title = here.tasting.title
    if ' '.join(wanted.confirm.split()) != ' '.join(title.split()):
        raise Refused(
            422, 'not-confirmed', f"'{wanted.confirm[:80]}'", where='confirm',
            expected=f"the title of the tasting: {title}",
            remedy="type the title as it stands; nothing is revealed yet",
        )  # fmt: skip
    who = wanted.name(organiser)
    await here.writer.do(lambda ledger, state: reveal(ledger, who=who, state=state))
    return await get_reveal(organiser, here)
