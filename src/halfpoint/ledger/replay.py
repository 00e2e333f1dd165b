"""Reading the record from its start to know how things stand now."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from halfpoint.errors import LedgerAltered
from halfpoint.ledger.chain import Record
from halfpoint.ledger.paper import PageState, Papers
from halfpoint.ledger.pours import EntryState, Pours
from halfpoint.ledger.records import (
    Audited,
    Confirmed,
    Consented,
    Content,
    Corrected,
    Decided,
    EntryRecorded,
    FileGathered,
    Left,
    PageRecorded,
    Planned,
    Preferred,
    Pseudonym,
    Restored,
    Revealed,
    RowHeld,
    SetAside,
    Settled,
    Target,
    keys_over,
)
from halfpoint.ledger.senders import Senders


@dataclass(frozen=True, slots=True)
class Standing:
    """A set-aside that has not been undone."""

    number: int
    made: str
    who: str
    target: Target
    why: str


@dataclass(slots=True)
class State:
    """How things stand at the end of the record.

    `held` has only the rows that nothing has settled; `held_before` every row that was ever
    held, by its `held_keys`; `digests` the SHA-256 of every file gathered; `last` the sequence
    number of the last record taken into account; `plan` the newest plan, and `planned` its
    sequence number; `papers` the pages read from paper, `senders` what came from
    phones; `left` what was odd on an entry and was left so, as entry, field and message;
    `called` the pseudonym of each taster who has one; `letters` whether a taster who was asked
    agreed to get one; `touched` the number of an entry each
    time one was recorded or corrected, so that whoever follows can tell what is new.
    """

    entries: dict[int, EntryState] = field(default_factory=dict)
    held: dict[int, RowHeld] = field(default_factory=dict)
    held_before: dict[tuple[object, ...], int] = field(default_factory=dict)
    standing: dict[Target, list[Standing]] = field(default_factory=dict)
    revealed: Record | None = None
    plan: Mapping[str, Any] | None = None
    planned: int | None = None
    digests: set[str] = field(default_factory=set)
    pours: Pours = field(default_factory=Pours)
    papers: Papers = field(default_factory=Papers)
    senders: Senders = field(default_factory=Senders)
    left: set[tuple[int, str, str]] = field(default_factory=set)
    called: dict[str, str] = field(default_factory=dict)
    letters: dict[str, bool] = field(default_factory=dict)
    touched: list[int] = field(default_factory=list)
    last_digest: str = ''
    last: int = 0

    def in_force(self) -> list[EntryState]:
        """The entries that count: those that no set-aside covers."""
        if not any(self.standing.values()):
            return list(self.entries.values())
        covering = self.cover()
        return [entry for entry in self.entries.values() if covering(entry) is None]

    def set_aside(self) -> list[tuple[EntryState, Standing]]:
        """The entries left out, each with the earliest set-aside that covers it."""
        if not any(self.standing.values()):
            return []
        covering = self.cover()
        return [(e, found) for e in self.entries.values() if (found := covering(e)) is not None]

    def cover(self) -> Callable[[EntryState], Standing | None]:
        """What finds the earliest standing set-aside over an entry."""
        found = [standing for several in self.standing.values() for standing in several]
        by_key = {
            standing.target.key: standing for standing in sorted(found, key=_age, reverse=True)
        }
        covered = by_key.keys()
        if not covered:
            return lambda entry: None

        def covering(entry: EntryState) -> Standing | None:
            keys = keys_over(entry.number, entry.now)
            if covered.isdisjoint(keys):
                return None
            return min((by_key[key] for key in keys if key in by_key), key=_age)

        return covering

    def waiting(self) -> dict[int, RowHeld]:
        """The held rows, by number, that nobody has settled or set aside."""
        return {
            number: row
            for number, row in self.held.items()
            if not self.standing.get(Target(held=number))
        }

    def pages_held(self) -> dict[int, PageState]:
        """The pages that could not be read, by number, that nobody has set aside."""
        return {
            number: page
            for number, page in self.papers.held_pages().items()
            if not self.standing.get(Target(held=number))
        }


def _age(standing: Standing) -> int:
    return standing.number


def replay(records: Iterable[Record], state: State | None = None) -> State:
    """How things stand after these records; `state`, when given, is carried on from.

    Raises:
        LedgerAltered: a record cannot be understood, or refers to one that is not there.
    """
    state = state or State()
    for record in records:
        try:
            _apply(state, record, record.content)
        except NOT_UNDERSTOOD as reason:
            raise not_understood(record) from reason
        state.last = record.sequence
    return state


# What goes wrong in reading a record that halfpoint did not write so.
NOT_UNDERSTOOD = (AttributeError, KeyError, TypeError, ValueError)


def not_understood(record: Record) -> LedgerAltered:
    """The refusal to raise for a record that cannot be read, or refers to one not there."""
    return LedgerAltered(
        f"record {record.sequence} cannot be understood",
        remedy="run halfpoint verify, and go back to the last copy that verifies",
    )


def held_keys(row: RowHeld, digest: str) -> tuple[tuple[object, ...], tuple[object, ...]]:
    """What makes a held row the same when it comes again: its words, in that file or its copy."""
    words = tuple(sorted(item for item in row.original.items() if item[1]))
    return (digest, row.row, row.field, words), (row.file, row.row, row.field, words)


def _apply(state: State, record: Record, content: Content) -> None:
    match content:
        case EntryRecorded():
            entry = EntryState(record.sequence, content, [content.entry])
            state.entries[entry.number] = entry
            state.touched.append(entry.number)
            state.pours.add(entry)
            state.senders.recorded(record.sequence, content)
            state.papers.made(record.sequence, content.page, content.place, held=False)
        case RowHeld():
            _hold(state, record.sequence, content)
        case Settled():
            _settle(state, content.held)
            _settle_blocks(state, content)
        case Corrected():
            _correct(state, content)
        case Confirmed():
            state.senders.said(content.sent, content.of)
        case SetAside() | Restored():
            _leave_out(state, record, content)
        case FileGathered():
            state.digests.add(content.digest)
            state.last_digest = content.digest
        case Planned() | Revealed() | Left() | Pseudonym() | Consented():
            _turn(state, record, content)
        case PageRecorded() | Decided() | Preferred() | Audited():
            _on_paper(state, record, content)


def _turn(
    state: State, record: Record, content: Planned | Revealed | Left | Pseudonym | Consented
) -> None:
    match content:
        case Planned():
            state.plan, state.planned = content.plan, record.sequence
        case Revealed():
            state.revealed = state.revealed or record
        case Left():
            state.left.add((content.entry, content.field, content.message))
        case Pseudonym():
            state.called[content.taster] = content.called
        case Consented():
            state.letters[content.taster] = content.letter


def _correct(state: State, content: Corrected) -> None:
    state.entries[content.of].versions.append(content.entry)
    state.touched.append(content.of)
    state.pours.add(state.entries[content.of])
    state.senders.corrected(content)
    # Between two phones at one seat a person decides, not the one that speaks last.
    if content.sent is None:
        _settle_conflicts(state, content.of)


def _leave_out(state: State, record: Record, content: SetAside | Restored) -> None:
    if isinstance(content, Restored):
        _restore(state, content.set_aside)
        return
    target = content.target
    standing = Standing(record.sequence, record.made, record.who, target, content.why)
    state.standing.setdefault(target, []).append(standing)


def _on_paper(
    state: State, record: Record, content: PageRecorded | Decided | Preferred | Audited
) -> None:
    match content:
        case PageRecorded():
            state.papers.add(record.sequence, record.who, record.made, content, state.planned)
        case Decided():
            state.papers.decide(content)
        case Preferred():
            state.papers.prefer(content)
        case Audited():
            state.papers.audits.append(content)


def _hold(state: State, number: int, row: RowHeld) -> None:
    state.held[number] = row
    state.senders.held(number, row)
    state.papers.made(number, row.page, row.place, held=True)
    digest = state.last_digest if row.page is None else state.papers.pages[row.page].page.digest
    for key in held_keys(row, digest):
        state.held_before[key] = number


def _settle_blocks(state: State, settled: Settled) -> None:
    """A block whose held row came back as an entry is that entry's from here on."""
    if settled.by in state.entries:
        for number in settled.held:
            state.papers.settle(number, settled.by)


def _settle(state: State, numbers: Iterable[int]) -> None:
    for number in numbers:
        del state.held[number]


def _settle_conflicts(state: State, entry: int) -> None:
    """A correction is the answer to every row held because that entry read otherwise."""
    _settle(state, [n for n, row in state.held.items() if row.conflicts == entry])


def _restore(state: State, number: int) -> None:
    for target, standings in state.standing.items():
        left = [standing for standing in standings if standing.number != number]
        if len(left) < len(standings):
            state.standing[target] = left
            return
    raise KeyError(number)
