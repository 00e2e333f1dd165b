"""Taking what a file held into the record, so that nothing is there twice and nothing is lost."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from halfpoint.ledger.contradiction import contradiction
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.records import Content, EntryRecorded, FileGathered, RowHeld, Settled
from halfpoint.ledger.replay import State, held_keys, replay
from halfpoint.sheet.entry import Entry


@dataclass(frozen=True, slots=True)
class Intake:
    """What became of a file's rows.

    `new` entries were recorded and `already` ones were there before; `held` rows are held now,
    those that contradict an entry included, and `held_before` ones were held already.
    """

    new: int
    already: int
    held: tuple[RowHeld, ...]
    held_before: tuple[RowHeld, ...]


def take_in(
    ledger: Ledger,
    *,
    file: str,
    digest: str,
    entries: Sequence[EntryRecorded],
    held: Sequence[RowHeld],
    mended: bool = False,
    who: str,
    why: str = '',
    state: State | None = None,
) -> Intake:
    """Record a file's entries and held rows in one step, all or none.

    An entry that says what is already recorded for its pour is not recorded again; one that
    says something else is held. A row held before is not held again.

    Args:
        ledger: the record.
        file: name of the file.
        digest: SHA-256 of its bytes, in hexadecimal.
        entries: what was acceptable.
        held: what was not.
        mended: the rows are held rows come back, `file` and `row` of each naming the row that
            was held; the held record is then settled.
        who: who handed the file in.
        why: for what reason held rows were mended so, if one was given.
        state: how things stood when the file before was taken in, so that many files in a row
            need not read the record from its beginning each time.

    Raises:
        DiskFull, LedgerBusy: nothing was recorded.
    """
    with ledger.writing():
        state = replay(ledger.records(after=state.last if state else 0), state)
        # One record, the summary of the file, goes before what is sorted here.
        sorting = _Sorting(state, digest, first=ledger.head.count + 2, why=why)
        for entry in entries:
            sorting.entry(entry)
        for row in held:
            sorting.row(row)
        intake = sorting.intake()
        sorting.settle(mended)
        if sorting.added or digest not in state.digests:
            summary = FileGathered(file, digest, intake.new, intake.already, len(intake.held))
            ledger.append([summary, *sorting.added], who=who)
    return intake


Place = tuple[str, int | None]


@dataclass(frozen=True, slots=True)
class _Taken:
    """A row that is in the record under `number`; `again` when it was gathered before."""

    number: int
    entry: Entry | None
    again: bool


@dataclass(slots=True)
class _Sorting:
    state: State
    digest: str
    first: int
    why: str = ''
    added: list[Content] = field(default_factory=list)
    already: int = 0
    held_before: list[RowHeld] = field(default_factory=list)
    unchanged: set[int] = field(default_factory=set)
    taken: dict[Place, list[_Taken]] = field(default_factory=lambda: defaultdict(list))

    def entry(self, arrived: EntryRecorded) -> None:
        same = self.state.pours.saying_the_same(arrived.entry)
        other = same or self.state.pours.about_the_same(arrived.entry)
        if same is not None:
            self.already += 1
            # The same bytes again, or the very row the entry came from, mend nothing.
            again = self.digest in self.state.digests or _place(same.recorded) == _place(arrived)
            self.taken[_place(arrived)].append(_Taken(same.number, arrived.entry, again))
        elif other is not None:
            self.row(contradiction(arrived, other, blind=self.state.plan is not None))
        else:
            number = self._add(arrived)
            self.state.pours.add(EntryState(number, arrived, [arrived.entry]))
            self.taken[_place(arrived)].append(_Taken(number, arrived.entry, again=False))

    def row(self, row: RowHeld) -> None:
        keys = held_keys(row, self.digest)
        before = [self.state.held_before[key] for key in keys if key in self.state.held_before]
        if before:
            self.held_before.append(row)
            self.unchanged.update(before)
            return
        number = self._add(row)
        self.taken[_place(row)].append(_Taken(number, None, again=False))
        self.state.held_before.update(dict.fromkeys(keys, number))

    def settle(self, mended: bool) -> None:
        """Settle the held rows that have come back in another form."""
        for place, waiting in _by_place(self.state.held).items():
            left = tuple(number for number in waiting if number not in self.unchanged)
            taken = self.taken.get(place, [])
            if not mended:
                for number in left:
                    left_row = self.state.held[number]
                    if by := next((t for t in taken if _mends(t, left_row)), None):
                        self.added.append(Settled((number,), by.number, self.why))
            # Of a wide row, several pours may be held: they are settled when all came back.
            elif left and len(taken) >= len(left):
                self.added.append(Settled(left, taken[0].number, self.why))

    def intake(self) -> Intake:
        held = tuple(content for content in self.added if isinstance(content, RowHeld))
        new = sum(isinstance(content, EntryRecorded) for content in self.added)
        return Intake(new, self.already, held, tuple(self.held_before))

    def _add(self, content: Content) -> int:
        self.added.append(content)
        return self.first + len(self.added) - 1


def _mends(taken: _Taken, row: RowHeld) -> bool:
    """Whether an entry from the same place is this held row's, by its taster and wine or code."""
    if taken.entry is None or taken.again:
        return False
    said = set(row.original.values())
    return taken.entry.taster in said and bool({taken.entry.wine, taken.entry.code} & said)


def _place(row: EntryRecorded | RowHeld) -> Place:
    return row.file, row.row


def _by_place(held: Mapping[int, RowHeld]) -> dict[Place, tuple[int, ...]]:
    places: dict[Place, tuple[int, ...]] = {}
    for number, row in held.items():
        places[_place(row)] = (*places.get(_place(row), ()), number)
    return places
