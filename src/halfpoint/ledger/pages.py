"""Taking pages read from paper into the record, so that none is there twice and none is lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.model import (
    BAND,
    FAMILY,
    FAULT,
    TERM,
    HeldPage,
    Look,
    Outcome,
    PageReading,
    PourReading,
)
from halfpoint.collect.table.poured import Poured
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.paper import WHOLE_PAGE, PageState
from halfpoint.ledger.pen import Pen
from halfpoint.ledger.records import PageRecorded, RowHeld, Value
from halfpoint.ledger.replay import State, replay
from halfpoint.tasting.model import Tasting


@dataclass(frozen=True, slots=True)
class PageArrived:
    """A page as it came: `page` counts in the file from 1, `digest` is the file's SHA-256.

    `picture` is the SHA-256 of the picture kept of it (see `keep_picture`), '' for none.
    """

    file: str
    digest: str
    page: int
    outcome: Outcome
    picture: str = ''


@dataclass(frozen=True, slots=True)
class PagesTaken:
    """What became of pages, by the numbers of their records.

    `read` are new; `same` say what is recorded for their page and add nothing, `others` say
    something else and wait for a choice; `held` could not be read. `again` counts pages that
    were recorded before, the same page of the same file. Of the new pages came `entries`, by
    number; `already` counts pours that another entry says, `rows_held` those held, and `looks`
    the marks that wait for a person.
    """

    read: tuple[int, ...]
    same: tuple[int, ...]
    others: tuple[int, ...]
    held: tuple[int, ...]
    again: int
    entries: tuple[int, ...]
    already: int
    rows_held: tuple[RowHeld, ...]
    looks: int


def is_known(state: State, digest: str, page: int, *, reader: str = '') -> bool:
    """Whether this page of this file need not be read: it was, and would say the same again.

    A held page is worth reading again once there is another plan, or another `reader`.
    """
    number = state.papers.seen.get((digest, page))
    if number is None:
        return False
    known = state.papers.pages[number].page
    if known.held is None:
        return True
    return state.papers.plans[number] == state.planned and reader in ('', known.reader)


def take_pages(
    ledger: Ledger,
    tasting: Tasting,
    poured: Poured,
    arrived: Sequence[PageArrived],
    *,
    who: str,
    state: State | None = None,
    reader: str = '',
) -> PagesTaken:
    """Record pages in one step, all or none; what is complete becomes entries.

    Args:
        ledger: the record.
        tasting: whose sheet the marks are held against.
        poured: the plan the pages were read by.
        arrived: the pages; their pictures are kept already.
        who: who handed them in.
        state: how things stood after the step before; it is carried on. When this raises, it
            no longer fits and has to be read anew.
        reader: which reader it was.

    Raises:
        DiskFull, LedgerBusy: nothing was recorded.
    """
    with ledger.writing():
        state = replay(ledger.records(after=state.last if state else 0), state)
        taking = _Taking(Pen(ledger, tasting, poured, who, state), reader)
        for page in arrived:
            taking.page(page)
    return taking.taken()


class _Taking:
    def __init__(self, pen: Pen, reader: str) -> None:
        self.pen = pen
        self.reader = reader
        self.numbers: dict[str, list[int]] = {'read': [], 'same': [], 'others': [], 'held': []}
        self.again = 0

    def page(self, arrived: PageArrived) -> None:
        state, outcome = self.pen.state, arrived.outcome
        known = state.papers.seen.get((arrived.digest, arrived.page))
        before = None if known is None else state.papers.pages[known].page
        if before is not None and (before.held is None or before.held == outcome):
            self.again += 1
        elif isinstance(outcome, HeldPage):
            self._record(arrived, replace(self._whence(arrived), held=outcome), 'held')
        else:
            self._reading(arrived, outcome)

    def _reading(self, arrived: PageArrived, reading: PageReading) -> None:
        papers = self.pen.state.papers
        standing = [papers.pages[n] for n in papers.standing.get(reading.payload, ())]
        same = next((page for page in standing if says_the_same(reading, page)), None)
        made = page_recorded(reading, self._whence(arrived))
        if same is not None:
            made = replace(made, pours=(), looks=(), same_as=same.number)
            self._record(arrived, made, 'same')
        elif standing:
            self._record(arrived, replace(made, another_of=standing[0].number), 'others')
        else:
            number = self._record(arrived, made, 'read')
            page = papers.pages[number]
            for pour in page.page.pours:
                self.pen.settle(page, pour.place)

    def _record(self, arrived: PageArrived, made: PageRecorded, kind: str) -> int:
        (number,) = self.pen.write(made)
        self.numbers[kind].append(number)
        return number

    def _whence(self, arrived: PageArrived) -> PageRecorded:
        return PageRecorded(
            file=arrived.file,
            page=arrived.page,
            digest=arrived.digest,
            picture=arrived.picture,
            reader=self.reader,
        )

    def taken(self) -> PagesTaken:
        pages = self.pen.state.papers.pages
        return PagesTaken(
            read=tuple(self.numbers['read']),
            same=tuple(self.numbers['same']),
            others=tuple(self.numbers['others']),
            held=tuple(self.numbers['held']),
            again=self.again,
            entries=tuple(self.pen.entries),
            already=self.pen.already,
            rows_held=tuple(self.pen.held),
            looks=sum(1 for n in self.numbers['read'] for _ in pages[n].open_looks()),
        )


def page_recorded(reading: PageReading, whence: PageRecorded) -> PageRecorded:
    """A reading as the record has it: areas to a hundredth of a millimetre."""
    return replace(
        whence,
        payload=reading.payload,
        site=reading.site,
        seat=reading.seat,
        number=reading.number,
        sheet=reading.sheet,
        taster=reading.taster,
        wines_a_page=reading.wines_a_page,
        pours=tuple(map(_rounded_pour, reading.pours)),
        looks=tuple(map(_rounded, reading.looks)),
    )


def _rounded_pour(pour: PourReading) -> PourReading:
    confidence = {key: round(chance, 7) for key, chance in pour.confidence.items()}
    looks = tuple(map(_rounded, pour.looks))
    return replace(pour, marks=dict(pour.marks), confidence=confidence, looks=looks)


def _rounded(look: Look) -> Look:
    area = look.area
    sides = (round(side, 2) for side in (area.left, area.top, area.width, area.height))
    return replace(look, area=Rectangle(*sides))


DOUBTFUL = 'doubtful'
Claims = dict[tuple[int, str, str], Value]


def says_the_same(reading: PageReading, page: PageState) -> bool:
    """Whether a reading says of each thing what was read of it on the page, or what it is now."""
    read = _claims(page.page.pours, page.page.looks)
    now = claims_of(page)
    new = _claims(reading.pours, reading.looks)
    return all(_agree(key, new, read, now) for key in new.keys() | read.keys() | now.keys())


def claims_of(page: PageState) -> Claims:
    """What a page says of each thing now: its value, or `DOUBTFUL` while that waits."""
    said = page.decided.get(WHOLE_PAGE, {})
    looks = [look for look in page.page.looks if (look.field, look.about) not in said]
    return _claims([page.pour(pour) for pour in page.page.pours], looks)


def _agree(key: tuple[int, str, str], new: Claims, read: Claims, now: Claims) -> bool:
    said = new.get(key, 0)
    return said == read.get(key, 0) or (said != DOUBTFUL and said == now.get(key, 0))


def _claims(pours: Sequence[PourReading], looks: Sequence[Look]) -> Claims:
    """What is said of each thing; a box that is not there is not ticked."""
    claims: Claims = {(WHOLE_PAGE, look.field, look.about): DOUBTFUL for look in looks}
    for pour in pours:
        claims |= {(pour.place, key, ''): mark for key, mark in pour.marks.items()}
        claims |= dict.fromkeys(((pour.place, *box) for box in ticked_boxes(pour)), 1.0)
        claims |= {(pour.place, look.field, look.about): DOUBTFUL for look in pour.looks}
    return claims


def ticked_boxes(pour: PourReading) -> list[tuple[str, str]]:
    """Kind and key of every ticked box."""
    kinds: Mapping[str, tuple[str, ...]] = {
        TERM: pour.terms,
        FAMILY: pour.families,
        FAULT: pour.faults,
        BAND: (pour.finish_band,) if pour.finish_band else (),
    }
    return [(kind, key) for kind, keys in kinds.items() for key in keys]
