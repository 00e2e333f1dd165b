"""The pages there are, what stands on them now, and what of it waits for a person."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from halfpoint.collect.paper.read.model import (
    BAND,
    CODE,
    FAMILY,
    FAULT,
    SEAT,
    TERM,
    Look,
    PourReading,
)
from halfpoint.errors import NotInLedger
from halfpoint.ledger.records import Audited, Decided, PageRecorded, Preferred, Value
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.validity import TOTAL_TOLERANCE

WHOLE_PAGE = 0
BOXES = frozenset({TERM, FAMILY, FAULT, BAND})


class Asked(NamedTuple):
    """One thing that can be decided: what, and on which page; `place` 0 for the page itself."""

    page: int
    place: int
    field: str
    about: str = ''


Said = dict[tuple[str, str], Value]


@dataclass(slots=True)
class PageState:
    """A page and what became of it.

    `stands` when its marks count: it is neither held, nor a repetition, nor another picture that
    nobody chose. `over` is the page of which it is another picture. `entries` and `held` are the
    entry made of each block and the row held instead. `decided` is what people said, by block
    (0 for the page itself), then field and about, newest last.
    """

    number: int
    who: str
    made: str
    page: PageRecorded
    stands: bool = True
    over: int | None = None
    decided: dict[int, Said] = field(default_factory=dict)
    entries: dict[int, int] = field(default_factory=dict)
    held: dict[int, int] = field(default_factory=dict)

    @property
    def seat(self) -> str:
        """The seat as decided, on a spare; '' while nobody has, or when it cannot be told."""
        return str(self.decided.get(WHOLE_PAGE, {}).get((SEAT, '')) or '')

    def reading(self, place: int) -> PourReading | None:
        """What was read in a block; None when there is no such block."""
        return next((pour for pour in self.page.pours if pour.place == place), None)

    def pour(self, reading: PourReading) -> PourReading:
        """The block as it reads with what people decided; its `looks` are those still open."""
        said = self.decided.get(reading.place)
        if not said:
            return reading
        now = replace(
            reading,
            code=str(said.get((CODE, ''), reading.code) or ''),
            marks={key: _mark(said, key, mark) for key, mark in reading.marks.items()},
            terms=_ticked(reading.terms, TERM, said),
            families=_ticked(reading.families, FAMILY, said),
            faults=_ticked(reading.faults, FAULT, said),
            finish_band=_band(reading.finish_band, said),
            looks=tuple(look for look in reading.looks if not _is_settled(look, said)),
        )
        return replace(now, is_empty=_is_empty(now))

    def open_looks(self) -> Iterator[tuple[int, Look]]:
        """What on the page waits for a person, and in which block."""
        if not self.stands:
            return
        said = self.decided.get(WHOLE_PAGE, {})
        yield from ((WHOLE_PAGE, look) for look in self.page.looks if not _is_settled(look, said))
        for reading in self.page.pours:
            if reading.looks:
                yield from ((reading.place, look) for look in self.pour(reading).looks)


def _is_settled(look: Look, said: Said) -> bool:
    if (look.field, look.about) in said:
        return True
    # Choosing one of two words for the finish says that the other is not meant.
    is_one_of_two = look.field == BAND and look.reason == 'two'
    return is_one_of_two and any(field == BAND and value for (field, _), value in said.items())


def adds_up(sheet: Sheet, pour: PourReading, total: float) -> bool:
    """Whether the marks of a pour are all there and add up to this total."""
    whole = 0.0
    for key, category in sheet.categories_by_key.items():
        mark = pour.marks.get(key)
        if mark is None:
            return False
        whole += category.weight * mark
    return abs(whole - total) <= TOTAL_TOLERANCE


def _mark(said: Said, key: str, read: float | None) -> float | None:
    value = said.get((key, ''), read)
    return None if value is None else float(value)


def _ticked(read: tuple[str, ...], kind: str, said: Said) -> tuple[str, ...]:
    boxes = {about: value for (field, about), value in said.items() if field == kind}
    kept = [key for key in read if boxes.get(key, 1)]
    return (*kept, *(key for key, value in boxes.items() if value and key not in kept))


def _band(read: str, said: Said) -> str:
    bands = {about: value for (field, about), value in said.items() if field == BAND}
    chosen = [label for label, value in bands.items() if value]
    if chosen:
        return chosen[-1]
    return read if bands.get(read, 1) else ''


def _is_empty(pour: PourReading) -> bool:
    ticked = pour.terms or pour.families or pour.faults or pour.finish_band
    return not ticked and all(mark is None for mark in pour.marks.values())


@dataclass(slots=True)
class Papers:
    """Every page in the record.

    `standing` has the pages that count by their 24 digits, `seen` the newest record of every
    page of every file by the file's SHA-256, `others` the pictures that wait for a choice, and
    `plans` the plan in force when a page was held.
    """

    pages: dict[int, PageState] = field(default_factory=dict)
    standing: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))
    seen: dict[tuple[str, int], int] = field(default_factory=dict)
    others: dict[int, PageState] = field(default_factory=dict)
    audits: list[Audited] = field(default_factory=list)
    plans: dict[int, int | None] = field(default_factory=dict)
    _blocks: dict[int, tuple[int, int]] = field(default_factory=dict)

    def add(self, number: int, who: str, made: str, page: PageRecorded, plan: int | None) -> None:
        """Take one more page into account; KeyError when it refers to one that is not there."""
        state = PageState(number, who, made, page)
        over = page.another_of if page.another_of is not None else page.same_as
        if over is not None and self.pages[over].page.payload != page.payload:
            raise ValueError(page.payload)
        self.pages[number] = state
        self.seen[page.digest, page.page] = number
        if page.held is not None:
            self.plans[number] = plan
        state.stands = page.held is None and over is None
        if state.stands:
            self.standing[page.payload].append(number)
        elif page.another_of is not None:
            state.over = over
            self.others[number] = state

    def numbered(self, number: int) -> PageState:
        """The page with this record number.

        Raises:
            NotInLedger: there is none.
        """
        if number not in self.pages:
            raise NotInLedger(
                f"no page has the record number {number}",
                expected="the record number of a page read from paper",
                remedy="halfpoint history TASTING.toml shows the numbers",
            )
        return self.pages[number]

    def decide(self, decided: Decided) -> None:
        """Take a decision into account; the last one on a thing holds."""
        page, about = self.pages[decided.page], (decided.field, decided.about)
        if decided.place != WHOLE_PAGE and page.reading(decided.place) is None:
            raise KeyError(decided.place)
        said = page.decided.setdefault(decided.place, {})
        said.pop(about, None)
        said[about] = decided.value

    def prefer(self, preferred: Preferred) -> None:
        """Let another picture of a page stand, with the entries that were made of the first."""
        new = self.pages[preferred.page]
        if preferred.instead_of is None:
            self._choose(new, stands=True)
            self.standing[new.page.payload].append(new.number)
        elif new.stands:
            self._choose(self.pages[preferred.instead_of], stands=False)
        else:
            self._replace(self.pages[preferred.instead_of], new)

    def _replace(self, old: PageState, new: PageState) -> None:
        numbers = self.standing[new.page.payload]
        numbers[numbers.index(old.number)] = new.number
        self._choose(old, stands=False)
        self._choose(new, stands=True)
        new.entries, old.entries = old.entries | new.entries, {}
        new.held, old.held = old.held | new.held, {}
        self._blocks |= {number: (new.number, place) for place, number in new.held.items()}
        for place, said in old.decided.items():
            # Who and what a spare is about does not change with its picture.
            told = {about: value for about, value in said.items() if about[0] in {SEAT, CODE}}
            new.decided[place] = told | new.decided.get(place, {})
        for waiting in self.others.values():
            if waiting.over == old.number:
                waiting.over = new.number

    def _choose(self, page: PageState, *, stands: bool) -> None:
        page.stands, page.over = stands, None
        self.others.pop(page.number, None)

    def made(self, number: int, page: int | None, place: int | None, *, held: bool) -> None:
        """Note which entry, or held row, was made of a block."""
        if page is not None and place is not None:
            state = self.pages[page]
            (state.held if held else state.entries)[place] = number
            if held:
                self._blocks[number] = page, place

    def settle(self, held: int, entry: int) -> None:
        """Note that the row held of a block is settled by an entry."""
        page, place = self._blocks.get(held, (None, None))
        self.made(entry, page, place, held=False)

    def held_pages(self) -> dict[int, PageState]:
        """Pages that could not be read and have not been read since, by number."""
        return {
            number: state
            for number in self.plans
            if self.seen[(state := self.pages[number]).page.digest, state.page.page] == number
        }
