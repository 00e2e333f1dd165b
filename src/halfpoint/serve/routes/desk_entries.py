"""Finding a sheet that came in, what became of it, and correcting it."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import Field

from halfpoint.ledger.changes import correct, entry_numbered
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.planned import follow_code
from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.replay import State
from halfpoint.serve.desk.bodies import SignedReason
from halfpoint.serve.desk.entries import (
    EntryFound,
    Sought,
    Step,
    Telling,
    as_changes,
    check_is_newest,
    found_entries,
    found_entry,
    version_of,
)
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting, Here
from halfpoint.serve.house import House
from halfpoint.serve.served import Served, open_ledger
from halfpoint.serve.wire.marks import Shape
from halfpoint.serve.wire.sheet import ScoreSheet

router = APIRouter(prefix='/api/desk', tags=['desk: sheets that came in'])
Word = Annotated[str, Field(max_length=10_000)]
Changed = Annotated[list[Annotated[str, Field(max_length=1_000)]], Field(max_length=200)]


class EntryList(Shape):
    """Entries that were found."""

    found: list[EntryFound]
    more: bool
    """Whether there are others that fit."""


class EntryShown(Shape):
    """A sheet as it reads now, and what became of it. Until the reveal it names no wine."""

    entry: EntryFound
    version: int
    """How often it was changed; to be sent back with a correction."""
    marks: dict[str, float]
    terms: list[str]
    families: list[str]
    faults: list[str]
    own_words: list[str]
    finish_seconds: float | None
    finish_band: str
    remark: str
    story: list[Step]
    """From when it came until now."""
    sheet: ScoreSheet
    """What can be marked and ticked."""


class Correction(SignedReason):
    """What an entry is to read otherwise, by whom and why; a reason is needed."""

    changes: Annotated[dict[str, float | Word | Changed | None], Field(max_length=60)]
    """Category key to mark, or `terms`, `families`, `faults`, `own_words`, `finish_seconds`,
    `finish_band`, `remark` or `code` to what it is now; lists are given whole."""
    version: Annotated[int, Field(ge=0)]
    """As it was shown; another one is refused, as somebody has changed it since."""


@router.get('/entries')
async def find(
    _: AsOrganiser,
    here: AtTasting,
    house: Here,
    site: Annotated[str, Query(max_length=200)] = '',
    seat: Annotated[int | None, Query(ge=1, le=100_000)] = None,
    code: Annotated[str, Query(max_length=40)] = '',
    entry: Annotated[int | None, Query(ge=1, le=2**53)] = None,
    most: Annotated[int, Query(ge=1, le=500)] = 60,
) -> EntryList:
    """The sheets that came in from a site, a seat, or for a code."""
    seating = await house.find_seating()
    sought = Sought(site, seat, code.strip(), entry)
    found = await here.writer.read(lambda state: found_entries(state, seating, sought, most + 1))
    return EntryList(found=found[:most], more=len(found) > most)


@router.get('/entries/{number}')
async def get_entry(number: int, _: AsOrganiser, here: AtTasting, house: Here) -> EntryShown:
    """One sheet: its marks, and who changed what, when and why."""
    return await _shown(here, house, number)


@router.post('/entries/{number}')
async def correct_entry(
    number: int, wanted: Correction, organiser: AsOrganiser, here: AtTasting, house: Here
) -> EntryShown:
    """Correct a sheet by a new record; what it read before stays in the record."""
    who, tasting = wanted.name(organiser), here.tasting
    changes = as_changes(tasting, wanted.changes)

    def job(ledger: Ledger, state: State) -> None:
        entry = entry_numbered(state, number)
        check_is_newest(entry, wanted.version)
        if changes.get('code') and state.plan is not None:
            follow_code(here.plan(state).poured, entry.now, changes)
        correct(
            ledger, tasting.sheet, number, changes, who=who, why=wanted.why.strip(), state=state
        )

    await here.writer.do(job)
    return await _shown(here, house, number)


async def _shown(here: Served, house: House, number: int) -> EntryShown:
    seating = await house.find_seating()

    def look(state: State) -> tuple[EntryFound, Telling]:
        entry = entry_numbered(state, number)
        copy = EntryState(entry.number, entry.recorded, list(entry.versions))
        telling = Telling(copy, dict(state.called), blind=state.revealed is None)
        return found_entry(state, seating, entry), telling

    found, telling = await here.writer.read(look)

    def tell() -> tuple[Step, ...]:
        with open_ledger(here.tasting) as ledger:
            return telling.story(ledger.records())

    story, now = await asyncio.to_thread(tell), telling.entry.now
    return EntryShown(
        entry=found,
        version=version_of(telling.entry),
        marks=dict(now.marks),
        terms=list(now.terms),
        families=list(now.families),
        faults=list(now.faults),
        own_words=list(now.own_words),
        finish_seconds=now.finish_seconds,
        finish_band=now.finish_band,
        remark=now.remark,
        story=list(story),
        sheet=ScoreSheet.of(here.tasting.sheet),
    )
