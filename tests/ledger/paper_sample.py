"""Invented pages, and the plan they were printed from, for the tests of paper in the record."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tests.ledger.sample import SHEET, opened

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.model import (
    CODE,
    SEAT,
    HeldPage,
    Look,
    Outcome,
    PageReading,
    PourReading,
)
from halfpoint.collect.table.poured import PlannedPour, Poured
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pages import PageArrived, PagesTaken, take_pages
from halfpoint.ledger.paper import Asked
from halfpoint.ledger.records import Value
from halfpoint.ledger.replay import State, replay
from halfpoint.ledger.review import Chosen, Decision, Waiting, decide, prefer, waiting
from halfpoint.tasting.model import Site, Taster, Tasting, Wine

AREA = Rectangle(10.0, 20.0, 60.0, 6.0)
MARKS = {'appearance': 3.0, 'aroma': 4.5, 'taste': 4.0, 'aftertaste': 2.0, 'overall': 1.5}
# What is poured at north: wine 3 twice.
CODES = {'101': ('w1', False), '202': ('w2', False), '303': ('w3', False), '404': ('w3', True)}
SEATS = {1: 'ann', 2: 'bob', 3: None}


def tasting(folder: Path) -> Tasting:
    """Three wines, two sites, Ann and Bob at north; nobody is listed for its third seat."""
    return Tasting(
        key='spring',
        title="Spring",
        sheet=SHEET,
        wines=tuple(Wine(key=f'w{n}', name=f"Wine {n}") for n in (1, 2, 3)),
        sites=(Site(key='north', name="North"), Site(key='south', name="South")),
        tasters=(Taster(key='ann', site='north'), Taster(key='bob', site='north')),
        ledger=folder / 'tasting.ledger',
        source=folder / 'tasting.toml',
    )


POURED = Poured.by_plan(
    PlannedPour('north', taster, position, code, wine, second, seat)
    for seat, taster in SEATS.items()
    for position, (code, (wine, second)) in enumerate(CODES.items(), start=1)
)


def look(field: str, reason: str = 'unclear', about: str = '', *choices: float | str) -> Look:
    """A doubtful mark."""
    return Look(field, reason, AREA, about, choices)


def pour(
    place: int = 1,
    code: str | None = None,
    marks: Mapping[str, float | None] | None = None,
    **others: Any,
) -> PourReading:
    """A block of a page; the marks named are changed, and a mark of None waits for a person."""
    read = {**MARKS, **(marks or {})}
    looks = tuple(look(key, 'two') for key, mark in read.items() if mark is None)
    told = {'looks': looks, **others}
    return PourReading(
        place=place,
        code=list(CODES)[place - 1] if code is None else code,
        position=place,
        marks=read,
        confidence={key: 0.999 for key, mark in read.items() if mark is not None},
        **told,
    )


def empty(place: int = 1) -> PourReading:
    """A block with nothing on it."""
    nothing = dict.fromkeys(MARKS)
    return pour(place, marks=nothing, looks=(), is_empty=True)


def page(*pours: PourReading, seat: int = 1, payload: str = '') -> PageReading:
    """A seat's own page."""
    return PageReading(
        payload=payload or f'14{seat:022}',
        site='north',
        seat=seat,
        number=seat,
        sheet=1,
        wines_a_page=4,
        taster=SEATS.get(seat) or f'north-seat-{seat}',
        pours=pours or (pour(1), pour(2)),
    )


def spare(*pours: PourReading, number: int = 1) -> PageReading:
    """A spare page, on which somebody wrote a seat, and a code for every glass."""
    made = pours or (pour(1, '', looks=(look(CODE, 'written'),)),)
    return PageReading(
        payload=f'24{number:022}',
        site='north',
        seat=None,
        number=number,
        sheet=1,
        wines_a_page=4,
        taster='',
        pours=made,
        looks=(look(SEAT, 'written'),),
    )


HELD = HeldPage('bent', "a page so bent", "a page that lies flat", "scan it again")


def arrived(outcome: Outcome, number: int = 1, file: str = 'scan.pdf') -> PageArrived:
    """The page as it comes from page `number` of a file."""
    return PageArrived(file, (file.encode().hex() * 64)[:64], number, outcome, 'c' * 64)


def seat_look(*choices: str) -> Look:
    """A seat somebody wrote."""
    return look(SEAT, 'written', '', *choices)


class Desk:
    """A record with a plan's pages coming in: what the commands carry along."""

    def __init__(self, folder: Path) -> None:
        self.tasting = tasting(folder)
        self.ledger: Ledger = opened(folder)
        self.state = State()

    def __enter__(self) -> Desk:
        return self

    def __exit__(self, *exc: object) -> None:
        self.ledger.close()

    def take(self, *pages: PageArrived) -> PagesTaken:
        """Take in pages."""
        return take_pages(
            self.ledger, self.tasting, POURED, pages, who="Mira", state=self.state, reader='1'
        )

    def decide(self, asked: Asked | Waiting, value: Value) -> Decision:
        """Decide something."""
        return decide(self.ledger, self.tasting, POURED, asked, value, who="Mira", state=self.state)

    def waiting(self) -> list[tuple[int, int, str, str]]:
        """What waits: page, block, field, about."""
        return [tuple(each.asked) for each in waiting(self.state)]

    def prefer(self, page: int, instead_of: int) -> Chosen:
        """Choose one picture over another."""
        return prefer(
            self.ledger, self.tasting, POURED, page, instead_of=instead_of, who="Mira",
            state=self.state,
        )  # fmt: skip

    def afresh(self) -> State:
        """How things stand by reading the record from its beginning."""
        return replay(self.ledger.records())

    def reads(self, number: int) -> dict[str, Any]:
        """What an entry says now, with what it is about."""
        now = self.afresh().entries[number].now
        return {'taster': now.taster, 'wine': now.wine, 'code': now.code, **now.marks}

    def kinds(self) -> list[str]:
        """The kinds of all records after the first."""
        return [record.kind for record in self.ledger.records(after=1)]
