"""Finding a sheet that came in, what became of it, and correcting it."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import Field

from halfpoint.ledger.changes import entry_numbered
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.moves import Outcome, Taken, correct_or_move, look_ahead
from halfpoint.ledger.pours import EntryState, same_words
from halfpoint.ledger.replay import State
from halfpoint.serve.desk.bodies import SignedReason
from halfpoint.serve.desk.corrections import as_changes, seat_change
from halfpoint.serve.desk.entries import (
    EntryFound,
    Sought,
    Step,
    Telling,
    check_is_newest,
    found_entries,
    found_entry,
    is_blind,
    told_changes,
    version_of,
)
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting, Here
from halfpoint.serve.house import House
from halfpoint.serve.served import Served, open_ledger
from halfpoint.serve.wire.marks import EntryWritten, Shape, written_in
from halfpoint.serve.wire.sheet import ScoreSheet
from halfpoint.sheet.entry import Entry
from halfpoint.tasting.model import Tasting

router = APIRouter(prefix='/api/desk', tags=['desk: sheets that came in'])
Word = Annotated[str, Field(max_length=10_000)]
Changed = Annotated[list[Annotated[str, Field(max_length=1_000)]], Field(max_length=200)]


class EntryList(Shape):
    """Entries that were found."""

    found: list[EntryFound]
    more: bool
    """Whether there are others that fit."""


class NamesGiven(Shape):
    """Whose sheet of what it is, by name, where no plan says it by seat and code."""

    taster: str
    """As in the tasting file."""
    wine: str
    """As in the tasting file."""
    site: str
    """As in the tasting file; empty when it has none."""


class EntryShown(EntryWritten):
    """A sheet as it reads now, and what became of it. Until the reveal it names no wine."""

    entry: EntryFound
    version: int
    """How often it was changed; to be sent back with a correction."""
    names: NamesGiven | None
    """Only where nothing is planned."""
    story: list[Step]
    """From when it came until now."""
    sheet: ScoreSheet
    """What can be marked and ticked."""


class EntryCorrected(EntryShown):
    """A sheet after a correction, and what came of it."""

    outcome: Outcome
    """`corrected`; `swapped` with the other; `held` as a conflict with the other, and this one
    set aside until it is decided; `same` as the other says, and this one set aside."""
    other: int | None
    """The entry that stood for that pour, if there was one."""


class Wanted(Shape):
    """What an entry is to read otherwise."""

    changes: Annotated[dict[str, float | Word | Changed | None], Field(max_length=60)]
    """Category key to mark, or `terms`, `families`, `faults`, `own_words`, `finish_seconds`,
    `finish_band`, `remark` to what it is now; lists are given whole. Where it is from is `site`,
    `seat` and `code` where there is a plan, else `site`, `taster` and `wine` by name."""
    version: Annotated[int, Field(ge=0)]
    """As it was shown; another one is refused, as somebody has changed it since."""


class Correction(SignedReason, Wanted):
    """What an entry is to read otherwise, by whom and why; a reason is needed."""

    taken: Taken = 'hold'
    """Where the pour has a sheet already: `hold` both until somebody decides, or `swap` them."""


class LookedAhead(Shape):
    """What a correction would change; nothing was recorded."""

    changes: list[tuple[str, str, str]]
    """Field, what it reads, what it would read, in words."""
    taken: EntryFound | None
    """The entry that stands for that pour already."""
    same: bool
    """Whether that one says the same."""


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


@router.post('/entries/{number}/preview')
async def preview_correction(
    number: int, wanted: Wanted, _: AsOrganiser, here: AtTasting, house: Here
) -> LookedAhead:
    """What a correction would change, and whether the pour has a sheet already."""
    seating, tasting = await house.find_seating(), here.tasting

    def look(state: State) -> LookedAhead:
        entry = entry_numbered(state, number)
        check_is_newest(entry, wanted.version)
        changes = as_changes(tasting, seating, entry.now, wanted.changes)
        moving = look_ahead(state, tasting.sheet, number, changes)
        told = told_changes(moving.before, moving.after, state.called, blind=is_blind(state))
        other = moving.other
        return LookedAhead(
            changes=[*seat_change(seating, moving.before, moving.after), *told],
            taken=found_entry(state, seating, other) if other else None,
            same=other is not None and same_words(moving.after, other.now),
        )

    return await here.writer.read(look)


@router.post('/entries/{number}')
async def correct_entry(
    number: int, wanted: Correction, organiser: AsOrganiser, here: AtTasting, house: Here
) -> EntryCorrected:
    """Correct a sheet by a new record; what it read before stays in the record.

    On a pour that has a sheet already nothing is lost: both wait as a conflict, or are swapped.
    """
    seating, tasting = await house.find_seating(), here.tasting

    def job(ledger: Ledger, state: State) -> tuple[Outcome, int | None]:
        entry = entry_numbered(state, number)
        check_is_newest(entry, wanted.version)
        changes = as_changes(tasting, seating, entry.now, wanted.changes)
        other = look_ahead(state, tasting.sheet, number, changes).other
        outcome = correct_or_move(
            ledger, tasting.sheet, number, changes, who=wanted.name(organiser),
            why=wanted.why.strip(), taken=wanted.taken, state=state,
        )  # fmt: skip
        return outcome, other.number if other else None

    outcome, other = await here.writer.do(job)
    shown = await _shown(here, house, number)
    return EntryCorrected(**dict(shown), outcome=outcome, other=other)


async def _shown(here: Served, house: House, number: int) -> EntryShown:
    seating = await house.find_seating()

    def look(state: State) -> tuple[EntryFound, Telling]:
        entry = entry_numbered(state, number)
        copy = EntryState(entry.number, entry.recorded, list(entry.versions))
        telling = Telling(copy, dict(state.called), blind=is_blind(state))
        return found_entry(state, seating, entry), telling

    found, telling = await here.writer.read(look)

    def tell() -> tuple[Step, ...]:
        with open_ledger(here.tasting) as ledger:
            return telling.story(ledger.records())

    story, now = await asyncio.to_thread(tell), telling.entry.now
    return EntryShown(
        entry=found,
        version=version_of(telling.entry),
        names=None if seating else _names(here.tasting, now, found.taster),
        story=list(story),
        sheet=ScoreSheet.of(here.tasting.sheet),
        **written_in(now),
    )


def _names(tasting: Tasting, now: Entry, taster: str) -> NamesGiven:
    wine, site = tasting.find_wine(now.wine), tasting.find_site(now.site or '')
    return NamesGiven(
        taster=taster,
        wine=wine.name if wine else now.wine,
        site=site.name if site else now.site or '',
    )
