"""The taster's sheet as the app gets it: never a wine."""

from __future__ import annotations

from typing import Literal

from halfpoint.serve.wire.marks import EntryWritten, FieldProblem, Shape
from halfpoint.sheet.form import Sheet

Phase = Literal['before', 'open', 'closed', 'revealed']


class TastingShown(Shape):
    """The tasting, as everybody may know it."""

    key: str
    """A short name."""
    title: str
    """What it is called."""
    invented: bool
    """Whether it is made up."""
    opens: str | None
    """First day, ISO 8601."""
    closes: str | None
    """Last day, ISO 8601."""
    state: Phase
    """Where it stands, by the server's clock."""


class NameShown(Shape):
    """Key and name of a site."""

    key: str
    """As in tables of marks."""
    name: str
    """As people say it."""


class GuidanceShown(Shape):
    """What a range of marks means."""

    low: float
    """Lowest mark."""
    high: float
    """Highest mark."""
    text: str
    """In plain words."""


class CategoryShown(Shape):
    """A line of the sheet: marks from `lowest` to `top` in steps of `step`."""

    key: str
    """As in `marks`."""
    label: str
    """As on the sheet."""
    question: str
    """What the taster is asked."""
    top: float
    """Highest mark."""
    step: float
    """Distance of neighbouring marks."""
    lowest: float
    """Lowest mark."""
    weight: float
    """How many times the mark counts in the total."""
    guidance: list[GuidanceShown]
    """What the marks mean."""


class TermShown(Shape):
    """An aroma term."""

    key: str
    """As in `terms`."""
    label: str
    """As on the sheet."""


class FamilyShown(Shape):
    """Aroma terms that belong together."""

    key: str
    """As in `families`."""
    label: str
    """As on the sheet."""
    terms: list[TermShown]
    """Its terms."""


class FaultShown(Shape):
    """A fault, and how it shows."""

    key: str
    """As in `faults`."""
    label: str
    """As on the sheet."""
    sign: str
    """How it shows."""


class FinishShown(Shape):
    """What a finish of so many seconds is called."""

    label: str
    """Short, medium, long."""
    low: float
    """From so many seconds, themselves included."""
    high: float | None
    """To so many seconds; null for no end."""


_AS_IN_FILE = {'label', 'about', 'categories', 'families', 'faults', 'language'}


class ScoreSheet(Shape):
    """The whole score sheet."""

    label: str
    """Its title."""
    about: str
    """A sentence for those who use it."""
    top: float
    """The highest total."""
    categories: list[CategoryShown]
    """In the order they are asked."""
    families: list[FamilyShown]
    """Aroma terms."""
    faults: list[FaultShown]
    """Faults."""
    finish: list[FinishShown]
    """What a timed finish is called."""
    language: str
    """Of the labels, BCP 47; empty when the sheet does not say."""

    @classmethod
    def of(cls, sheet: Sheet) -> ScoreSheet:
        """The sheet in this shape."""
        parts = sheet.model_dump(include=_AS_IN_FILE)
        bands = [
            {'label': band.label, 'low': band.from_seconds, 'high': band.to_seconds}
            for band in sheet.finish
        ]
        return cls.model_validate({**parts, 'top': sheet.top, 'finish': bands})


class PourShown(Shape):
    """A pour of this seat: its code and its place in the evening."""

    code: str
    """The blind code."""
    flight: int
    """From 1."""
    position: int
    """In the evening, from 1."""
    flight_position: int
    """In its flight, from 1."""


class SentShown(EntryWritten):
    """What the server has of a pour of this seat."""

    id: str | None
    """As the device sent it; null when it came from paper, a table or a person."""
    version: int | None
    """As the device sent it."""
    state: Literal['kept', 'held', 'conflict']
    """`kept` counts; `held` and `conflict` wait for the organiser."""
    entry: int | None
    """Number of the entry in the record."""
    code: str
    """The blind code."""
    total: float | None
    """The weighted sum; null for a held one."""
    problems: list[FieldProblem]
    """Why it is held."""


class SheetShown(Shape):
    """All that a taster's phone needs, also for days without a network."""

    version: str
    """Changes when the score sheet or the pours do."""
    tasting: TastingShown
    """The tasting."""
    site: NameShown
    """The room."""
    table: int
    """The table."""
    seat: int
    """The seat."""
    taster: str
    """What the record calls whoever sits here."""
    letter: bool
    """Whether whoever sits here agreed to get a letter after the tasting."""
    sheet: ScoreSheet
    """The score sheet."""
    pours: list[PourShown]
    """In serving order."""
    sent: list[SentShown]
    """What has arrived from this seat, in the order of the pours."""
    cautions: list[str]
    """Spit, water, food, no driving."""
    server_time: str
    """ISO 8601, UTC."""
