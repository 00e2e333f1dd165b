"""What people have decided of what needed a look: by whom, when and why, told from the record."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from halfpoint.ledger.chain import Record
from halfpoint.ledger.records import (
    Content,
    Corrected,
    Decided,
    EntryRecorded,
    Left,
    Preferred,
    Restored,
    RowHeld,
    SetAside,
    Settled,
    Target,
    Value,
)
from halfpoint.ledger.replay import NOT_UNDERSTOOD, not_understood

How = Literal['set_aside', 'restored', 'settled', 'corrected', 'left', 'decided', 'preferred']


@dataclass(frozen=True, slots=True)
class Thing:
    """What was decided.

    `kind` is `row` for a held row or one that contradicts an entry, `page` for a page not read,
    `paper` for a mark on the page `number`, `pictures` for two pictures of one page, `entry` for
    a whole entry, and `hint` for something odd on the entry `number`, which `about` tells.
    """

    kind: Literal['row', 'page', 'paper', 'pictures', 'entry', 'hint']
    number: int
    place: int = 0
    field: str = ''
    about: str = ''


@dataclass(frozen=True, slots=True)
class Made:
    """One decision: its record, and how it was decided.

    `value` is what was said to stand on paper, or the picture that counts; `entry` the entry
    that a row became or that was corrected, and `version` which of its versions that made.
    """

    record: int
    made: str
    who: str
    why: str
    how: How
    value: Value = None
    entry: int | None = None
    version: int = 0


@dataclass(slots=True)
class Decisions:
    """Follows a record; what it has read is never read again.

    `made` has the decisions on each thing from the first to the last, things in the order of
    their last one; `rows` every row that was ever held.
    """

    made: dict[Thing, list[Made]] = field(default_factory=dict)
    rows: dict[int, RowHeld] = field(default_factory=dict)
    last: int = 0
    _versions: Counter[int] = field(default_factory=Counter)
    _open: dict[int, set[int]] = field(default_factory=lambda: defaultdict(set))
    _about: dict[int, set[int]] = field(default_factory=lambda: defaultdict(set))
    _aside: dict[int, tuple[Thing, ...]] = field(default_factory=dict)

    def follow(self, records: Iterable[Record]) -> None:
        """Take more of the record into account, in its order.

        Raises:
            LedgerAltered: a record cannot be understood, or refers to one that is not there.
        """
        for record in records:
            if record.kind != EntryRecorded.kind:
                try:
                    self._take(record, record.content)
                except NOT_UNDERSTOOD as reason:
                    raise not_understood(record) from reason
            self.last = record.sequence

    def _take(self, record: Record, content: Content) -> None:
        match content:
            case RowHeld():
                self.rows[record.sequence] = content
                if content.conflicts is not None:
                    self._open[content.conflicts].add(record.sequence)
            case Settled():
                self._settle(record, content)
            case Corrected():
                self._correct(record, content)
            case SetAside():
                self._set_aside(record, content)
            case Restored():
                for thing in self._aside.pop(content.set_aside, ()):
                    self._note(thing, record, content.why, 'restored')
            case Left() | Decided() | Preferred():
                self._look(record, content)

    def _look(self, record: Record, content: Left | Decided | Preferred) -> None:
        match content:
            case Left(number, name, message, why):
                self._note(Thing('hint', number, 0, name, message), record, why, 'left')
            case Decided(page, place, name, about, value, why):
                thing = Thing('paper', page, place, name, about)
                self._note(thing, record, why, 'decided', value)
            case Preferred():
                self._prefer(record, content)

    def _note(
        self,
        thing: Thing,
        record: Record,
        why: str,
        how: How,
        value: Value = None,
        entry: int | None = None,
        version: int = 0,
    ) -> None:
        before = self.made.pop(thing, [])
        made = Made(record.sequence, record.made, record.who, why, how, value, entry, version)
        self.made[thing] = [*before, made]

    def _settle(self, record: Record, content: Settled) -> None:
        for number in content.held:
            conflicts = self.rows[number].conflicts
            if conflicts is not None:
                self._open[conflicts].discard(number)
            self._about[content.by].add(number)
            self._note(Thing('row', number), record, content.why, 'settled', entry=content.by)

    def _correct(self, record: Record, content: Corrected) -> None:
        self._versions[content.of] += 1
        if content.sent is not None:
            return
        # A correction by a person is the answer to all that said otherwise.
        self._about[content.of] |= self._open.pop(content.of, set())
        for number in sorted(self._about[content.of]):
            self._note(
                Thing('row', number), record, content.why, 'corrected',
                entry=content.of, version=self._versions[content.of],
            )  # fmt: skip

    def _set_aside(self, record: Record, content: SetAside) -> None:
        things = self._meant(content.target)
        self._aside[record.sequence] = things
        for thing in things:
            self._note(thing, record, content.why, 'set_aside', entry=content.target.entry)

    def _meant(self, target: Target) -> tuple[Thing, ...]:
        if target.held is not None:
            return (Thing('row' if target.held in self.rows else 'page', target.held),)
        if target.entry is None:
            return ()
        rows = (Thing('row', number) for number in sorted(self._about[target.entry]))
        return Thing('entry', target.entry), *rows

    def _prefer(self, record: Record, content: Preferred) -> None:
        other = content.instead_of
        pair = sorted((content.page, content.page if other is None else other))
        thing = Thing('pictures', pair[0], pair[1])
        self._note(thing, record, content.why, 'preferred', content.page)
