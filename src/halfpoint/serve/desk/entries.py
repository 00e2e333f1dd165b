"""A sheet found again: what it says, and what became of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice
from typing import Literal

from halfpoint.errors import UsageError
from halfpoint.ledger.chain import Record
from halfpoint.ledger.contradiction import differences
from halfpoint.ledger.look_words import say_choice
from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.records import (
    Content,
    Corrected,
    Decided,
    EntryRecorded,
    Left,
    Restored,
    SetAside,
    Target,
)
from halfpoint.ledger.replay import State
from halfpoint.serve.seating import Seat, Seating
from halfpoint.sheet.entry import Entry

# By which a code could be told from its wine, before the reveal.
TELLING = frozenset({'wine', 'pour'})


@dataclass(frozen=True, slots=True)
class EntryFound:
    """An entry in a list; `seat` is None where nobody sits who is known, `aside` as it stands."""

    entry: int
    site: str
    seat: int | None
    taster: str
    code: str
    position: int | None
    total: float
    aside: bool


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that happened to an entry: when, by whom, why, and what it changed, in words."""

    record: int
    made: str
    who: str
    what: Literal['received', 'decided', 'corrected', 'set_aside', 'restored', 'left']
    why: str
    changes: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Sought:
    """What is looked for; what is not told fits everything."""

    site: str = ''
    seat: int | None = None
    code: str = ''
    entry: int | None = None


def found_entries(
    state: State, seating: Seating | None, sought: Sought, most: int
) -> list[EntryFound]:
    """Entries that fit, in the order in which they came; to be asked within a look."""
    covering = state.cover()
    fitting = (e for e in state.entries.values() if _fits(e, _seat(seating, e.now), sought))
    return [
        _found(state, entry, _seat(seating, entry.now), aside=covering(entry) is not None)
        for entry in islice(fitting, most)
    ]


def found_entry(state: State, seating: Seating | None, entry: EntryState) -> EntryFound:
    """One entry as in the list."""
    aside = state.cover()(entry) is not None
    return _found(state, entry, _seat(seating, entry.now), aside=aside)


def _seat(seating: Seating | None, entry: Entry) -> Seat | None:
    return seating.of(entry.taster) if seating else None


def _fits(entry: EntryState, at: Seat | None, sought: Sought) -> bool:
    now = entry.now
    return (
        sought.site in {'', now.site or (at.site if at else '')}
        and sought.seat in {None, at.seat if at else None}
        and sought.code in {'', now.code}
        and sought.entry in {None, entry.number}
    )


def _found(state: State, entry: EntryState, at: Seat | None, *, aside: bool) -> EntryFound:
    now = entry.now
    return EntryFound(
        entry=entry.number,
        site=now.site or (at.site if at else ''),
        seat=at.seat if at else None,
        taster=state.called.get(now.taster, now.taster),
        code=now.code or '',
        position=now.position,
        total=now.total,
        aside=aside,
    )


# --- what became of it ------------------------------------------------------------------------


# Only these touch an entry; of all others not even the words are read.
_TOUCHING = frozenset(
    kind.kind for kind in (Corrected, Decided, EntryRecorded, Left, Restored, SetAside)
)


@dataclass(slots=True)
class Telling:
    """Tells what became of an entry.

    `called` are pseudonyms by taster; when `blind`, nothing is told by which a code could be
    told from its wine.
    """

    entry: EntryState
    called: Mapping[str, str]
    blind: bool
    _asides: set[int] = field(default_factory=set)
    _version: int = 0

    def story(self, records: Iterable[Record]) -> tuple[Step, ...]:
        """Everything that happened to it, in order, out of the whole record."""
        return tuple(step for record in records for step in self._step(record))

    def _step(self, record: Record) -> Iterator[Step]:
        own = record.sequence == self.entry.number
        if record.kind in _TOUCHING and (own or record.kind != EntryRecorded.kind):
            yield from self._of(record, record.content)

    def _of(self, record: Record, content: Content) -> Iterator[Step]:
        told = record.sequence, record.made, self._called(record.who)
        number = self.entry.number
        match content:
            case EntryRecorded():
                yield Step(*told, 'received', content.origin)
            case Corrected(of) if of == number:
                yield Step(*told, 'corrected', content.why, tuple(self._changes()))
            case SetAside(target, why) if target.held is None and self._covers(target):
                self._asides.add(record.sequence)
                yield Step(*told, 'set_aside', why)
            case Restored(aside, why) if aside in self._asides:
                yield Step(*told, 'restored', why)
            case Left(of, _, message, why) if of == number:
                yield Step(*told, 'left', why or message)
            case Decided() if self._on_its_page(content):
                yield Step(*told, 'decided', content.why, (self._said(content),))

    def _covers(self, target: Target) -> bool:
        return any(target.covers(self.entry.number, each) for each in self.entry.versions)

    def _on_its_page(self, decided: Decided) -> bool:
        page, place = self.entry.recorded.page, self.entry.recorded.place
        return page == decided.page and decided.place in {0, place}

    def _said(self, decided: Decided) -> tuple[str, str, str]:
        return decided.about or decided.field, '', say_choice(decided.value, decided.field)

    def _changes(self) -> Iterator[tuple[str, str, str]]:
        before, after = self.entry.versions[self._version : self._version + 2]
        self._version += 1
        return told_changes(before, after, self.called, blind=self.blind)

    def _called(self, name: str) -> str:
        return self.called.get(name, name)


def is_blind(state: State) -> bool:
    """Whether a code must not be told from its wine yet."""
    return state.plan is not None and state.revealed is None


def told_changes(
    before: Entry, after: Entry, called: Mapping[str, str], *, blind: bool
) -> Iterator[tuple[str, str, str]]:
    """Field by field what an entry read and reads, tasters by their pseudonyms.

    When `blind`, nothing is told by which a code could be told from its wine.
    """
    hidden = TELLING if blind else frozenset()
    for name, now, was in differences(after, before):
        if name not in hidden:
            yield name, called.get(was, was), called.get(now, now)


# --- correcting it ----------------------------------------------------------------------------


def check_is_newest(entry: EntryState, version: int) -> None:
    """Refuse a correction of what reads otherwise by now.

    Raises:
        UsageError: somebody has changed it since.
    """
    if version != version_of(entry):
        raise UsageError(
            f"entry {entry.number} was changed since it was opened here",
            where=f"entry {entry.number}",
            expected="a correction of how it reads now",
            remedy="look at it again, and put in what is still to be corrected",
        )


def version_of(entry: EntryState) -> int:
    """How often an entry was changed since it came."""
    return len(entry.versions) - 1
