"""People and privacy: what is kept of each, to export it, and to erase a name."""

from __future__ import annotations

import asyncio
import json
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Request, Response
from pydantic import Field

from halfpoint.ledger.cleaned import Renaming, make_cleaned_copy
from halfpoint.ledger.consent import record_letter
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.replay import State
from halfpoint.serve.desk.bodies import SignedReason
from halfpoint.serve.desk.files import as_file
from halfpoint.serve.desk.people import (
    Known,
    Person,
    erased,
    export_of,
    people,
    records_about,
    without_name,
)
from halfpoint.serve.desk.tasting_file import Text, write_text
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting, Here
from halfpoint.serve.house import House
from halfpoint.serve.problems import Refused
from halfpoint.serve.room import forget_room
from halfpoint.serve.served import Served, open_ledger
from halfpoint.serve.wire.marks import Shape

router = APIRouter(prefix='/api/desk', tags=['desk: people'])
JSON = 'application/json'


class PersonEdited(Shape):
    """A person's name, as the desk shows it, whether it may be published, and letters."""

    name: Annotated[str, Field(max_length=80)]
    consent: bool = False
    letter: bool | None = None
    """Whether the person agreed to get a letter; null to leave that as it is."""


class ToErase(SignedReason):
    """To be sure that it is meant, the key of the person is typed."""

    confirm: Annotated[str, Field(max_length=300)]


class Erased(Shape):
    """What became of a person's name."""

    called: str
    """The pseudonym that every page, table and report shows from now on."""
    file_changed: bool
    devices: int
    """Devices that were unseated."""
    records: int
    """Old records that still have the key; see `cleaned.ledger` when the key is a name."""


class ToClean(SignedReason):
    """A copy of the record without a person's key and name; a reason is needed."""

    names: Annotated[list[Annotated[str, Field(max_length=200)]], Field(max_length=20)] = Field(
        default_factory=list
    )
    """Names by which the person may be called in words that people wrote."""


@router.get('/people')
async def everybody(_: AsOrganiser, here: AtTasting, house: Here) -> list[Person]:
    """Everybody who is listed, has a seat, or is in the record."""
    return await asyncio.to_thread(people, await _known(here, house), house.desk)


@router.put('/people/{key}')
async def edit(
    key: str, edited: PersonEdited, organiser: AsOrganiser, here: AtTasting, house: Here
) -> Person:
    """Keep a name and consent in the desk's own file; the record has the key, and letters."""
    known = await _known(here, house)
    taster, name = known.key_of(key), edited.name.strip()
    if edited.letter is not None:
        await here.writer.do(_letter(here, taster, organiser.who, wanted=edited.letter))
        known = await _known(here, house)
    if name:
        await asyncio.to_thread(house.desk.set_name, taster, name, consent=edited.consent)
    else:
        await asyncio.to_thread(house.desk.forget_name, taster)
    return _person(known, house, taster)


@router.get(
    '/people/{key}/export', response_class=Response, responses={200: {'content': {JSON: {}}}}
)
async def export(key: str, _: AsOrganiser, here: AtTasting, house: Here) -> Response:
    """Everything that is kept of a person, as one JSON file."""
    known = await _known(here, house)
    taster = known.key_of(key)
    person = _person(known, house, taster)

    def read() -> list[dict[str, Any]]:
        with open_ledger(here.tasting) as ledger:
            return records_about(ledger, taster)

    records = await asyncio.to_thread(read)
    told = await here.writer.read(lambda state: export_of(person, taster, state, records))
    text = json.dumps(told, ensure_ascii=False, indent=1)
    return as_file(text, JSON, f'{here.tasting.key}-{person.key}.json')


@router.post('/people/{key}/erase')
async def erase(
    key: str,
    wanted: ToErase,
    request: Request,
    organiser: AsOrganiser,
    here: AtTasting,
    house: Here,
) -> Erased:
    """Take a name out of the tasting file, the desk and everything shown; the marks stay."""
    if wanted.confirm.strip() != key:
        raise Refused(
            422, 'not-confirmed', f"'{wanted.confirm[:80]}'", where='confirm',
            expected=f"the key of the person: {key}",
            remedy="type the key as it stands; nothing is erased yet",
        )  # fmt: skip
    known = await _known(here, house)
    taster, who = known.key_of(key), wanted.name(organiser)
    why = wanted.why.strip() or "asked for"

    def job(ledger: Ledger, state: State) -> str:
        return erased(ledger, state, taster, who=who, why=why)

    called = await here.writer.do(job)
    changed = await asyncio.to_thread(_take_out_of_file, house, taster, called)
    devices = await asyncio.to_thread(_forget, known, house, taster)
    house.read_again()
    forget_room(request.app)

    def count() -> int:
        with open_ledger(here.tasting) as ledger:
            return len(records_about(ledger, taster))

    records = await asyncio.to_thread(count)
    return Erased(called=called, file_changed=changed, devices=devices, records=records)


@router.post(
    '/people/{key}/cleaned.ledger',
    response_class=Response,
    responses={200: {'content': {'application/octet-stream': {}}}},
)
async def cleaned(
    key: str, wanted: ToClean, organiser: AsOrganiser, here: AtTasting, house: Here
) -> Response:
    """A copy of the record with the pseudonym in place of the key, for when the key is a name.

    The record that is served stays as it is; the organiser puts the copy in its place.
    """
    known = await _known(here, house)
    taster = known.key_of(key)
    if taster not in known.called:
        raise Refused(
            409, 'not-erased', "this person has no pseudonym yet", where='key',
            expected="a person who was erased", remedy="erase the person first",
        )  # fmt: skip
    renaming = Renaming(taster, known.called[taster], tuple(wanted.names))
    who, why = wanted.name(organiser), wanted.why

    def make() -> bytes:
        with tempfile.TemporaryDirectory(prefix='halfpoint-') as folder:
            target = Path(folder) / 'cleaned.ledger'
            make_cleaned_copy(here.tasting.ledger, target, [renaming], who=who, why=why)
            return target.read_bytes()

    content = await asyncio.to_thread(make)
    return as_file(content, 'application/octet-stream', f'{here.tasting.key}-cleaned.ledger')


def _letter(
    here: Served, taster: str, who: str, *, wanted: bool
) -> Callable[[Ledger, State], None]:
    def job(ledger: Ledger, state: State) -> None:
        record_letter(ledger, state, here.tasting, taster, wanted=wanted, who=who)

    return job


async def _known(here: Served, house: House) -> Known:
    seating = await house.find_seating()
    return await here.writer.read(lambda state: Known.of(here.tasting, seating, state))


def _person(known: Known, house: House, taster: str) -> Person:
    shown = known.called.get(taster, taster)
    return next(each for each in people(known, house.desk) if each.key == shown)


def _take_out_of_file(house: House, taster: str, called: str) -> bool:
    path = house.settings.tasting
    before = Text.of(path)
    after = without_name(before.text, taster, called)
    if after == before.text:
        return False
    write_text(after, path, before.digest)
    return True


def _forget(known: Known, house: House, taster: str) -> int:
    house.desk.forget_name(taster)
    site, seat = known.everybody()[taster]
    return house.desk.forget_devices(site, seat) if seat is not None else 0
