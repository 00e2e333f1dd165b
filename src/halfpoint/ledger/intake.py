"""Taking what a file held into the record, so that nothing is there twice and nothing is lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from halfpoint.ledger.contradiction import contradiction
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pours import Pours
from halfpoint.ledger.records import Content, EntryRecorded, FileGathered, RowHeld, Settled
from halfpoint.ledger.replay import EntryState, State, held_keys, replay
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

    Raises:
        DiskFull, LedgerBusy: nothing was recorded.
    """
    with ledger.writing():
        state = replay(ledger.records())
        # One record, the summary of the file, goes before what is sorted here.
        sorting = _Sorting(state, digest, mended, first=ledger.head.count + 2)
        for entry in entries:
            sorting.entry(entry)
        for row in held:
            sorting.row(row)
        intake = sorting.intake()
        if sorting.added or digest not in state.digests:
            summary = FileGathered(file, digest, intake.new, intake.already, len(intake.held))
            ledger.append([summary, *sorting.added], who=who)
    return intake


@dataclass(slots=True)
class _Sorting:
    state: State
    digest: str
    mended: bool
    first: int
    added: list[Content] = field(default_factory=list)
    already: int = 0
    held_before: list[RowHeld] = field(default_factory=list)
    pours: Pours = field(init=False)
    waiting: Mapping[tuple[str, int], tuple[int, ...]] = field(init=False)

    def __post_init__(self) -> None:
        self.pours = Pours(self.state.entries.values())
        self.waiting = _by_place(self.state.held)

    def entry(self, arrived: EntryRecorded) -> None:
        settles = self._settled_by(arrived)
        same = self.pours.saying_the_same(arrived.entry)
        if same is not None:
            self.already += 1
            if settles:
                self.added.append(Settled(settles, same.number))
            return
        other = self.pours.about_the_same(arrived.entry)
        if other is not None:
            self.row(contradiction(arrived, other))
            return
        number = self.first + len(self.added)
        self.added.append(replace(arrived, settles=settles))
        self.pours.add(EntryState(number, arrived, [arrived.entry]))

    def row(self, row: RowHeld) -> None:
        keys = held_keys(row, self.digest)
        if any(key in self.state.held_before for key in keys):
            self.held_before.append(row)
            return
        number = self.first + len(self.added)
        if self.mended:
            row = replace(row, settles=self.waiting.get((row.file, row.row), ()))
        self.added.append(row)
        self.state.held_before.update(dict.fromkeys(keys, number))

    def intake(self) -> Intake:
        held = tuple(content for content in self.added if isinstance(content, RowHeld))
        new = sum(isinstance(content, EntryRecorded) for content in self.added)
        return Intake(new, self.already, held, tuple(self.held_before))

    def _settled_by(self, arrived: EntryRecorded) -> tuple[int, ...]:
        """The held rows that this entry is the mended form of."""
        if arrived.row is None:
            return ()
        numbers = self.waiting.get((arrived.file, arrived.row), ())
        if self.mended:
            return numbers
        return tuple(n for n in numbers if _names(self.state.held[n], arrived.entry))


def _names(row: RowHeld, entry: Entry) -> bool:
    """Whether the held row was this taster's, for this wine."""
    written = set(row.original.values())
    return entry.taster in written and entry.wine in written


def _by_place(held: Mapping[int, RowHeld]) -> dict[tuple[str, int], tuple[int, ...]]:
    places: dict[tuple[str, int], tuple[int, ...]] = {}
    for number, row in held.items():
        places[row.file, row.row] = (*places.get((row.file, row.row), ()), number)
    return places
