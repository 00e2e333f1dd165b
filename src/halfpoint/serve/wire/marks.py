"""Sheets as the app sends them, and what it is answered."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from halfpoint.collect.phone.filled import Filled
from halfpoint.sheet.entry import Entry

MOST_ENTRIES = 64
MOST_BYTES = 256 * 1024
MOST_WORDS = 200

UUID = r'^[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}$'
Uuid = Annotated[str, Field(pattern=UUID, examples=['0b0f6a52-9d9e-4f3c-8a51-3d8f3a3b7c11'])]
Words = Annotated[list[Annotated[str, Field(max_length=1_000)]], Field(max_length=MOST_WORDS)]


class Shape(BaseModel):
    """A part of a request or answer; docstrings become descriptions in the OpenAPI document."""

    model_config = ConfigDict(use_attribute_docstrings=True)


class SentEntry(Shape):
    """One pour as the app has it now."""

    id: Uuid
    """One for each pour on this device; it stays the same over all versions."""
    version: Annotated[int, Field(ge=1, le=2_147_483_647)]
    """Grows with each edit."""
    code: Annotated[str, Field(max_length=40)]
    """The blind code of the pour."""
    marks: Annotated[dict[str, float | None], Field(max_length=100)] = {}
    """Category key to mark; null where none is given yet."""
    terms: Words = []
    """Keys of the aroma terms ticked; one that the sheet does not have is kept as own word."""
    own_words: Words = []
    """Aroma words of the taster's own."""
    families: Words = []
    """Keys of aroma families ticked as a whole."""
    faults: Words = []
    """Keys of the faults ticked."""
    finish_seconds: float | None = None
    """Seconds for which pleasant flavour lasted."""
    remark: str = ''
    """What the taster wrote."""
    written: Annotated[str, Field(max_length=40)] = ''
    """When it was written, ISO 8601, by the clock of the device; only noted down."""
    complete: bool = True
    """Whether the taster has finished this pour."""

    def filled(self) -> Filled:
        """The same, for the check."""
        return Filled(
            id=self.id.lower(),
            version=self.version,
            code=self.code.strip(),
            marks=self.marks,
            terms=tuple(self.terms),
            own_words=tuple(self.own_words),
            families=tuple(self.families),
            faults=tuple(self.faults),
            finish_seconds=self.finish_seconds,
            remark=self.remark,
            written=self.written,
            complete=self.complete,
        )


class EntryWritten(Shape):
    """What a sheet says of its pour."""

    marks: dict[str, float | None]
    """Category key to mark."""
    terms: list[str]
    """Keys of aroma terms."""
    own_words: list[str]
    """The taster's own words."""
    families: list[str]
    """Keys of aroma families."""
    faults: list[str]
    """Keys of faults."""
    finish_seconds: float | None
    """Seconds of pleasant finish."""
    finish_band: str
    """The finish as ticked on paper; else empty."""
    remark: str
    """What was written."""


def written_in(entry: Entry) -> dict[str, Any]:
    """What an entry says of its pour, as the parts of an `EntryWritten`."""
    said = {name: getattr(entry, name) for name in EntryWritten.model_fields}
    return said | {
        'marks': dict(entry.marks),
        **{name: list(said[name]) for name in ('terms', 'own_words', 'families', 'faults')},
    }


class SentEntries(Shape):
    """What one device sends at once."""

    device: Uuid
    """Made on the device and kept there; the record has only a digest of it."""
    app: Annotated[str, Field(max_length=40)] = ''
    """Version of the app."""
    entries: Annotated[list[SentEntry], Field(min_length=1, max_length=MOST_ENTRIES)]
    """At most 64, in any order."""


class FieldProblem(Shape):
    """What keeps a sheet from being accepted."""

    field: str
    """A category's key, or code, terms, faults, own_words, finish_seconds, remark, sent."""
    found: str
    """What was found, in words."""
    expected: str
    """What would have been accepted, in words."""


class HintSaid(Shape):
    """Something on an accepted sheet that may be worth a second look; it changes no mark."""

    field: str
    """A category's key, or total."""
    message: str
    """The hint, in words."""


class EntryAnswer(Shape):
    """What became of one pour. The app may forget a version once it is answered."""

    id: str
    """As sent."""
    version: int
    """As sent."""
    state: Literal['kept', 'already', 'held', 'conflict']
    """`kept` in the record; `already` there, or overtaken by a newer version; `held` with its
    reason; `conflict` held as well, because the pour has an entry that says otherwise."""
    entry: int | None
    """Number of the entry of this pour in the record, if there is one."""
    problems: list[FieldProblem] = []
    """Why it is held."""
    hints: list[HintSaid] = []
    """Worth a second look."""


class EntryAnswers(Shape):
    """One answer for each pour sent, in the same order; all of it is on the server's disk."""

    answers: list[EntryAnswer]
    """In the order of the request."""
    server_time: str
    """ISO 8601, UTC."""
    sheet_version: str
    """Changes when the score sheet or the pours do: then GET /api/sheet again."""
