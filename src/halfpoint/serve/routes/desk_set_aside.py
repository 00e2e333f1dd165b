"""Leaving entries out of the result and bringing them back, with a look before at what changes."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query

from halfpoint.errors import NotInLedger
from halfpoint.ledger.changes import restore, set_aside
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import Target
from halfpoint.ledger.replay import Standing, State
from halfpoint.serve.desk.bodies import Line, Reason, SignedReason
from halfpoint.serve.desk.targets import TargetNamed
from halfpoint.serve.desk.weighing import Place, preview
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting
from halfpoint.serve.routes.desk_results import AtDesk
from halfpoint.serve.wire.marks import Shape

router = APIRouter(prefix='/api/desk', tags=['desk: set aside'])


class ToSetAside(SignedReason):
    """What is left out of the result, by whom and why; both are needed."""

    target: TargetNamed


class ToPreview(Shape):
    """What would be left out, or with `restored` would count again."""

    target: TargetNamed
    restored: bool = False


class StandingShown(Shape):
    """A set-aside that holds."""

    number: int
    """Its record; to restore it by."""
    target: TargetNamed
    said: str
    """What is set aside, in words."""
    entries: int
    """How many entries it covers now."""
    who: str
    why: str
    made: str


class Previewed(Shape):
    """Scores and ranks before and after; nothing was recorded."""

    version: int
    entries: int
    """How many entries would stop, or begin, to count."""
    before: list[Place]
    after: list[Place]


@router.get('/set-aside')
async def standing(_: AsOrganiser, here: AtTasting) -> list[StandingShown]:
    """Everything that is set aside now."""
    return await here.writer.read(_all)


@router.post('/set-aside', status_code=201)
async def put_aside(
    wanted: ToSetAside, organiser: AsOrganiser, here: AtTasting
) -> list[StandingShown]:
    """Leave something out of the result, from here on; nothing is taken from the record."""
    who, tasting = wanted.name(organiser), here.tasting

    def job(ledger: Ledger, state: State) -> Target:
        target = wanted.target.target(tasting, state)
        set_aside(ledger, [target], who=who, why=wanted.why, state=state)
        return target

    target = await here.writer.do(job)
    return await here.writer.read(lambda state: _all(state, target))


@router.delete('/set-aside/{number}')
async def bring_back(
    number: int,
    organiser: AsOrganiser,
    here: AtTasting,
    why: Annotated[Reason, Query()],
    who: Annotated[Line, Query()] = '',
) -> list[StandingShown]:
    """Undo a set-aside, by its number, for a reason; what still stands is given back."""

    def job(ledger: Ledger, state: State) -> None:
        target = next((s.target for s in _standing(state) if s.number == number), None)
        if target is None:
            raise NotInLedger(
                f"no set-aside {number} holds", where='number', expected="one of the list",
                remedy="load the list again",
            )  # fmt: skip
        restore(ledger, [target], who=who.strip() or organiser.who, why=why, state=state)

    await here.writer.do(job)
    return await here.writer.read(_all)


@router.post('/set-aside/preview')
async def look_ahead(wanted: ToPreview, _: AsOrganiser, here: AtTasting, at: AtDesk) -> Previewed:
    """Scores and ranks before and after, worked out beside; nothing is recorded."""
    tasting = here.tasting
    target = await here.writer.read(lambda state: wanted.target.target(tasting, state))
    found = await at.quick.run(preview, tasting, [target], restored=wanted.restored)
    return Previewed(
        version=found.version,
        entries=found.entries,
        before=list(found.before),
        after=list(found.after),
    )


def _standing(state: State) -> list[Standing]:
    return [each for several in state.standing.values() for each in several]


def _all(state: State, only: Target | None = None) -> list[StandingShown]:
    shown = [s for s in _standing(state) if only in (None, s.target)]
    return [
        StandingShown(
            number=each.number,
            target=TargetNamed.of(_called(state, each.target)),
            said=str(_called(state, each.target)),
            entries=sum(each.target.covers(e.number, e.now) for e in state.entries.values()),
            who=each.who,
            why=each.why,
            made=each.made,
        )
        for each in shown
    ]


def _called(state: State, target: Target) -> Target:
    """The target with the taster under the name that is shown."""
    if target.taster is None:
        return target
    return Target(taster=state.called.get(target.taster, target.taster))
