"""Making and editing the tasting: form and file are the same thing."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Request
from pydantic import Field

from halfpoint.errors import InputError
from halfpoint.ledger.replay import State
from halfpoint.serve.desk.bodies import Line
from halfpoint.serve.desk.sheet_file import SheetText, check_sheet, sheet_of, write_sheet
from halfpoint.serve.desk.tasting_file import (
    Checked,
    Said,
    Text,
    check_text,
    refuse_orphans,
    text_of,
    write_text,
)
from halfpoint.serve.guard.roles import AsOrganiser, Here
from halfpoint.serve.house import House
from halfpoint.serve.problems import Refused
from halfpoint.serve.room import forget_room
from halfpoint.serve.wire.marks import Shape
from halfpoint.sheet.load import builtin_sheets, builtin_text, load_sheet
from halfpoint.tasting.model import Tasting

router = APIRouter(prefix='/api/desk', tags=['desk: the tasting'])

LONGEST = 1_000_000
LongText = Annotated[str, Field(max_length=LONGEST)]


class ProblemShown(Shape):
    """One thing to mend."""

    where: str
    """Table and key, as `wine 2 'aster', key price`; empty for the file as a whole."""
    found: str
    expected: str


class TastingText(Shape):
    """The tasting file, as text and as form."""

    text: str
    form: dict[str, Any] | None
    """The same as tables and values; null while the text is no TOML. Dates are text."""
    digest: str
    """Of this edition; to be sent back as `base`. Empty while there is no file."""
    problems: list[ProblemShown]
    """What has to be mended before it can be kept; empty when nothing has."""


class Edited(Shape):
    """An edited tasting: its text, or its form, not both."""

    text: LongText | None = None
    form: dict[str, Any] | None = None
    """Writing a form writes clean TOML; comments of a hand-written file are kept by text only."""

    def as_text(self) -> str:
        """The text of the file.

        Raises:
            Refused: neither or both are there, or the form makes no file.
        """
        if (self.text is None) == (self.form is None):
            raise Refused(
                422, 'text-or-form', "neither or both of text and form", where='text',
                expected="one of them", remedy="load the page again",
            )  # fmt: skip
        return self.text if self.text is not None else text_of(self.form or {})


class EditedTasting(Edited):
    """An edited tasting to be kept."""

    base: Line = ''
    """Digest of the edition that was edited; empty to begin a tasting from nothing."""


class SheetOffered(Shape):
    """A built-in score sheet."""

    name: str
    label: str
    top: float
    text: str
    """Its TOML, to begin one's own from."""


class SheetShown(Shape):
    """The score sheet of the tasting."""

    name: str
    """As the tasting file names it: a built-in one, or a file."""
    own: bool
    """Whether it is a file of one's own, which can be edited."""
    text: str
    digest: str


class SheetEdited(Shape):
    """A score sheet of one's own to be kept beside the tasting file."""

    name: Annotated[str, Field(pattern=r'^[A-Za-z0-9][A-Za-z0-9_-]{0,60}\.toml$')]
    """Name of the file, such as `our-sheet.toml`; name it under `sheet` in the tasting file."""
    text: LongText
    base: Line = ''
    """Digest of the edition that was edited; empty for a new file."""


@router.get('/tasting')
async def get_tasting(_: AsOrganiser, here: Here) -> TastingText:
    """The tasting file; without one, an empty text and form to begin from."""
    path = here.settings.tasting
    now = await asyncio.to_thread(Text.of, path)
    if not now.digest:
        return TastingText(text='', form={}, digest='', problems=[])
    return _shown(await asyncio.to_thread(check_text, now.text, path), now.digest)


@router.post('/tasting/check')
async def check_tasting(edited: Edited, _: AsOrganiser, here: Here) -> TastingText:
    """Look a text or form over without keeping it."""
    checked = await asyncio.to_thread(check_text, edited.as_text(), here.settings.tasting)
    return _shown(checked, '')


@router.put('/tasting')
async def put_tasting(
    edited: EditedTasting, request: Request, _: AsOrganiser, here: Here
) -> TastingText:
    """Keep an edited tasting, or begin one; 409 when the file was changed meanwhile.

    Nothing is kept while it has problems, or when recorded entries would lose their wine, site,
    taster or category.
    """
    path = here.settings.tasting
    checked = await asyncio.to_thread(check_text, edited.as_text(), path)
    tasting = _sound(checked)
    await _check_orphans(here, tasting)
    now = await asyncio.to_thread(write_text, checked.text, path, edited.base)
    await _read_again(here, request)
    return _shown(checked, now.digest)


@router.get('/sheets')
async def sheets(_: AsOrganiser) -> list[SheetOffered]:
    """The built-in score sheets."""
    return [_offered(name) for name in builtin_sheets()]


@router.get('/sheet')
async def get_sheet(_: AsOrganiser, here: Here) -> SheetShown:
    """The score sheet of the tasting as text."""
    return _sheet_shown(await asyncio.to_thread(sheet_of, here.settings.tasting))


@router.put('/sheet')
async def put_sheet(
    edited: SheetEdited, request: Request, _: AsOrganiser, here: Here
) -> SheetShown:
    """Keep a score sheet of one's own beside the tasting file."""
    path = here.settings.folder / edited.name
    sheet = await asyncio.to_thread(check_sheet, edited.text, edited.name)
    tasting = here.find_tasting()
    if tasting is not None and (await asyncio.to_thread(_in_use, here, path)):
        await _check_orphans(here, tasting.model_copy(update={'sheet': sheet}))
    await asyncio.to_thread(write_sheet, edited.text, path, edited.base, here.settings.tasting)
    await _read_again(here, request)
    now = await asyncio.to_thread(Text.of, path)
    return SheetShown(name=edited.name, own=True, text=now.text, digest=now.digest)


def _in_use(here: House, path: Path) -> bool:
    found = sheet_of(here.settings.tasting)
    return found.own and (here.settings.folder / found.name).resolve() == path.resolve()


async def _check_orphans(here: House, tasting: Tasting) -> None:
    if here.settings.ledger is not None:
        tasting = tasting.model_copy(update={'ledger': here.settings.ledger})
    try:
        before = here.find_tasting()
    except InputError:
        # The file was broken by hand; mending it must stay possible.
        before = None
    if before is None:
        return
    served = await here.served()

    def look(state: State) -> None:
        refuse_orphans(tasting, state, before)

    await served.writer.read(look)


async def _read_again(here: House, request: Request) -> None:
    here.read_again()
    forget_room(request.app)
    await here.served()


def _sound(checked: Checked) -> Tasting:
    if checked.tasting is None:
        first = checked.problems[0]
        more = len(checked.problems) - 1
        raise Refused(
            422,
            'tasting-file-error',
            first.found + (f" (and {more} more to mend)" if more else ""),
            where=first.where,
            expected=first.expected,
            remedy="mend it; nothing was kept yet",
        )
    return checked.tasting


def _shown(checked: Checked, digest: str) -> TastingText:
    return TastingText(
        text=checked.text, form=checked.form, digest=digest, problems=_problems(checked.problems)
    )


def _problems(said: Iterable[Said]) -> list[ProblemShown]:
    return [ProblemShown(where=p.where, found=p.found, expected=p.expected) for p in said]


def _offered(name: str) -> SheetOffered:
    sheet = load_sheet(name)
    return SheetOffered(name=name, label=sheet.label, top=sheet.top, text=builtin_text(name))


def _sheet_shown(found: SheetText) -> SheetShown:
    return SheetShown(name=found.name, own=found.own, text=found.text, digest=found.digest)
