"""The record as a process of its own remembers it, so that only what is new is read each time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

from halfpoint.estimate.fit import RemlFit
from halfpoint.ledger.chain import START
from halfpoint.ledger.entries_table import EntriesTable
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.replay import State, replay
from halfpoint.publish.from_record import RecordMarks, marks_of_state
from halfpoint.tasting.model import Tasting
from halfpoint.tasting.record_place import RecordPlace


@dataclass(slots=True)
class Known:
    """A record as it was last read here: how it stood, its entries, and the hash of its end.

    `fits` has the last fit of each kind of mark, to begin the next from.
    """

    state: State = field(default_factory=State)
    table: EntriesTable = field(default_factory=EntriesTable)
    hash: str = START
    fits: Mapping[str, RemlFit] = field(default_factory=dict)

    def marks(self, tasting: Tasting) -> RecordMarks:
        """The marks that count, ready to weigh.

        Raises:
            NotInLedger: no entry counts.
        """
        return marks_of_state(tasting, self.state, entries=self.table.in_force(self.state))

    def is_of(self, ledger: Ledger) -> bool:
        """Whether this is still the record that was read, and not another, such as a copy."""
        if not self.state.last:
            return True
        last = next(ledger.records(after=self.state.last - 1), None)
        return last is not None and last.hash == self.hash

    def read_on(self, ledger: Ledger) -> None:
        """Take into account what was recorded since."""
        for record in ledger.records(after=self.state.last):
            replay([record], self.state)
            self.hash = record.hash


_known: dict[RecordPlace, Known] = {}


@contextmanager
def known_now(tasting: Tasting) -> Iterator[Known]:
    """The record as it is now, read on from where it was left; nobody else has it meanwhile.

    Raises:
        LedgerError and its kinds: it cannot be read.
    """
    place = tasting.ledger
    # Not put back where reading fails, so that the next one begins anew.
    known = _known.pop(place, Known())
    with Ledger.open(place, tasting_key=tasting.key, create=False) as ledger:
        if not known.is_of(ledger):
            known = Known()
        known.read_on(ledger)
    try:
        yield known
    finally:
        _known[place] = known
