"""What a host is shown of the own site: who has sent what, never a wine."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from halfpoint.serve.wire.marks import Shape
from halfpoint.serve.wire.sheet import NameShown, TastingShown


class SeatShown(Shape):
    """A seat, and how far it is."""

    seat: int
    """Its number."""
    name: str
    """The name typed or listed for it; empty when there is none."""
    taster: str
    """What the record calls whoever sits here."""
    added: bool
    """Whether the host has added it."""
    pours: int
    """How many pours it has."""
    sent: int
    """For how many of them an entry is in the record."""
    held: int
    """How many sheets of it wait for the organiser."""
    devices: int
    """How many phones have joined as this seat."""
    last_seen: str | None
    """When one of them was last heard of, ISO 8601, UTC."""


class TableShown(Shape):
    """A table: its join code and its seats."""

    table: int
    """Its number."""
    code: str
    """What phones join by; empty for a table that is not in the plan."""
    seats: list[SeatShown]
    """In order."""


class HeldShown(Shape):
    """A sheet that waits, and why."""

    id: int
    """Its number in the record."""
    seat: int | None
    """The seat it is about, as far as that is known."""
    code: str
    """The blind code written on it."""
    field: str
    """What is wrong."""
    found: str
    """What was found, in words."""
    expected: str
    """What would have been accepted, in words."""


class SiteShown(Shape):
    """The whole site at a glance."""

    site: NameShown
    """The site."""
    tasting: TastingShown
    """The tasting."""
    tables: list[TableShown]
    """In order."""
    expected: int
    """How many sheets the plan expects of this site."""
    arrived: int
    """How many are in the record."""
    held: list[HeldShown]
    """Those that wait for the organiser."""
    server_time: str
    """ISO 8601, UTC."""


class SeatAsked(Shape):
    """A seat to add."""

    table: Annotated[int, Field(ge=1, le=1000)]
    """At which table."""
    name: Annotated[str, Field(max_length=80)] = ''
    """Who sits there; kept beside the record, never in it."""


class SeatAdded(Shape):
    """A seat that was added."""

    seat: int
    """Its number."""
    table: int
    """Its table."""
    taster: str
    """What the record calls whoever sits here."""
    pours_like: int
    """The seat whose bags are poured here, in the same order."""


class RoundShown(Shape):
    """One pour to every seat of a table."""

    position: int
    """In the evening, from 1."""
    begins: str
    """By the clock of the room, HH:MM."""
    bags: dict[str, str]
    """Seat to the letter of the bag that is poured there."""


class TableRounds(Shape):
    """What is poured at one table in one flight."""

    table: int
    """Its number."""
    rounds: list[RoundShown]
    """In order."""


class FlightShown(Shape):
    """A flight: what is poured when, by letter."""

    flight: int
    """From 1."""
    begins: str
    """By the clock of the room, HH:MM."""
    bags: list[str]
    """The letters poured in it."""
    codes: list[str]
    """The codes of it, in numerical order: no code can be joined to a letter."""
    tables: list[TableRounds]
    """Table by table."""


class RunSheet(Shape):
    """The evening of a site by the clock; letters and codes, no wines."""

    site: NameShown
    """The site."""
    pour_ml: float
    """Millilitres of a pour."""
    break_minutes: int
    """Between flights."""
    flights: list[FlightShown]
    """In order."""
    cautions: list[str]
    """To be told to everybody."""


class PageShown(Shape):
    """What became of a page of a photograph or scan."""

    file: str
    """The file it is in."""
    page: int
    """Its page there, from 1."""
    status: Literal['read', 'already', 'another', 'held', 'refused']
    """`read`; `already` in the record; `another` picture of a page that says something else and
    waits for the organiser; `held` as it cannot be read; `refused` and not kept."""
    seat: int | None
    """Whose it is."""
    looks: int
    """How many marks on it wait for a person."""
    reason: str
    """Why it was held or refused, and what to do."""


class BatchShown(Shape):
    """Photographs handed in at once."""

    batch: str
    """What to ask for progress by."""
    state: Literal['waiting', 'reading', 'done', 'stopped']
    """How far it is."""
    files: int
    """How many files."""
    pages: list[PageShown]
    """The pages so far."""
    reason: str
    """Why it stopped."""


class BundleHeld(Shape):
    """A sheet of a bundle that waits."""

    taster: str
    """Whose it is."""
    code: str
    """Its blind code."""
    field: str
    """What is wrong."""
    found: str
    """What was found, in words."""
    expected: str
    """What would have been accepted, in words."""


class BundleLoaded(Shape):
    """What became of a bundle."""

    site: str
    """Whose it is."""
    new: int
    """Sheets that were not here yet."""
    already: int
    """Sheets that were."""
    held: list[BundleHeld]
    """Sheets that wait for the organiser."""
