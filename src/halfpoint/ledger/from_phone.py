"""Taking what phones send into the record: each version once, and nobody overwritten."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from halfpoint.collect.phone.filled import (
    Checked,
    Desk,
    Filled,
    Seat,
    as_row,
    check_filled,
    device_name,
)
from halfpoint.ledger.chain import as_json
from halfpoint.ledger.contradiction import contradiction, differences
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pours import EntryState, same_pour, same_words
from halfpoint.ledger.records import (
    Confirmed,
    Content,
    Corrected,
    EntryRecorded,
    RowHeld,
    Sent,
    Settled,
)
from halfpoint.ledger.replay import State, replay
from halfpoint.ledger.senders import Key, Sender, says_of, short_digest
from halfpoint.sheet.entry import Complaint, Entry

CHANGED = "changed by the taster"
ONE_OF_TWO = "one of the two; both are kept, and the organiser decides"


@dataclass(frozen=True, slots=True)
class SheetArrived:
    """A sheet for one pour as a phone sent it.

    `checked` is what it comes to; `row` what was sent, as the row of a table, empty when it is
    acceptable; `source` where it came from, in words.
    """

    sent: Sent
    checked: Checked
    row: Mapping[str, str]
    source: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of a sheet.

    `kept`: it stands in the record. `already`: it was there, or something newer is. `held`: it
    waits with `problems`. `conflict`: it waits because the pour has an entry that says otherwise.
    `entry` is the number of the entry of the pour, if there is one.
    """

    state: Literal['kept', 'already', 'held', 'conflict']
    entry: int | None
    problems: tuple[Complaint, ...] = ()


def sheet_arrived(
    filled: Filled, seat: Seat, desk: Desk, *, device: str, source: str
) -> SheetArrived:
    """A filled sheet, checked; `device` is what the device calls itself."""
    checked = check_filled(filled, seat, desk)
    # What is accepted is never told back as a row.
    row = as_row(filled, seat, desk) if checked.complaints else {}
    says = says_of(checked.entry) if checked.entry else short_digest(as_json(row))
    sent = Sent(device_name(device, seat), filled.id, filled.version, says, filled.written)
    return SheetArrived(sent, checked, row, source)


def take_sheets(
    ledger: Ledger, arrived: Sequence[SheetArrived], *, who: str, state: State
) -> tuple[Answer, ...]:
    """Record sheets in one step, all or none, and answer each.

    The same version of the same sheet adds nothing. A newer one from the phone that an entry is
    from is a correction of it, unless a person has corrected the entry since. Whatever else
    says otherwise than the entry of its pour is held. In whichever order versions come, the
    newest that can be accepted stands, and a newer one that cannot is held beside it.

    Args:
        ledger: the record.
        arrived: the sheets.
        who: who sent them.
        state: how things stood after the step before; it is carried on. When this raises, it
            no longer fits and has to be read anew.

    Raises:
        DiskFull, LedgerBusy: nothing was recorded.
    """
    with ledger.writing():
        if state.last != ledger.head.count:
            replay(ledger.records(after=state.last), state)
        taking = _Taking(ledger, state, who)
        return tuple(taking.take(sheet) for sheet in arrived)


@dataclass(frozen=True, slots=True)
class _Taking:
    ledger: Ledger
    state: State
    who: str

    def take(self, sheet: SheetArrived) -> Answer:
        sender = self.state.senders.get(sheet.sent.key)
        known = sender.heard.get((sheet.sent.version, sheet.sent.says))
        if known is not None:
            return self._again(sender, known)
        entry, complaints = sheet.checked.entry, sheet.checked.complaints
        if entry is None or complaints:
            return self._not_acceptable(sheet, sender, complaints)
        if sheet.sent.version < sender.version:
            return Answer('already', sender.number)
        return self._acceptable(sheet, sender, entry)

    def _again(self, sender: Sender, record: int) -> Answer:
        row = self.state.held.get(record)
        if row is None:
            return Answer('already', sender.number)
        if row.conflicts is None:
            problem = Complaint(row.field, row.found, row.expected)
            return Answer('held', sender.number, (problem,))
        return Answer('conflict', row.conflicts, (Complaint(row.field, row.found, ONE_OF_TWO),))

    def _not_acceptable(
        self, sheet: SheetArrived, sender: Sender, complaints: tuple[Complaint, ...]
    ) -> Answer:
        if sheet.sent.version < sender.newest:
            return Answer('already', sender.number)
        row = RowHeld(
            sheet.source,
            self.state.last + 1,
            "; ".join(dict.fromkeys(c.field for c in complaints)),
            "; ".join(dict.fromkeys(c.found for c in complaints)),
            "; ".join(dict.fromkeys(c.expected for c in complaints)),
            sheet.row,
            sent=sheet.sent,
        )
        number = self._write(row)
        # What could be accepted before waits on: it is still the newest of its kind.
        self._settle(sheet.sent, number, below=sheet.sent.version, conflicts=False)
        return Answer('held', sender.number, complaints)

    def _acceptable(self, sheet: SheetArrived, sender: Sender, entry: Entry) -> Answer:
        sent = sheet.sent
        recorded = EntryRecorded(entry, sheet.source, sent=sent)
        standing = self._standing(sender, entry)
        if standing is None:
            number = self._write(recorded)
            self._settle(sent, number, below=sent.version + 1)
            return Answer('kept', number)
        if sent.version > sender.version and same_pour(standing.now, entry):
            if same_words(standing.now, entry):
                self._write(Confirmed(standing.number, sent))
                self._settle(sent, standing.number, below=sent.version + 1)
                return Answer('kept', standing.number)
            if self.state.senders.owns(sent.key, standing.number):
                self._write(Corrected(standing.number, entry, CHANGED, sent))
                self._settle(sent, standing.number, below=sent.version + 1)
                self._look_at_others(sent.key, standing)
                return Answer('kept', standing.number)
        return self._conflict(sent, recorded, standing)

    def _standing(self, sender: Sender, entry: Entry) -> EntryState | None:
        if sender.number is not None:
            return self.state.entries[sender.number]
        pours = self.state.pours
        return pours.about_the_same(entry) or pours.saying_the_same(entry)

    def _conflict(self, sent: Sent, recorded: EntryRecorded, standing: EntryState) -> Answer:
        is_newer = sent.version > self.state.senders.get(sent.key).version
        number = self._write(self._contradicting(recorded, standing))
        self._settle(sent, number, below=sent.version + is_newer)
        problem = _in_the_way(recorded.entry, standing.now)
        return Answer('conflict', standing.number, (problem,))

    def _contradicting(self, recorded: EntryRecorded, standing: EntryState) -> RowHeld:
        numbered = replace(recorded, row=self.state.last + 1)
        row = contradiction(numbered, standing, blind=True)
        if same_pour(recorded.entry, standing.now):
            return row
        # Nothing is said of the wines behind the two codes.
        problem = _in_the_way(recorded.entry, standing.now)
        return replace(row, field=problem.field, found=problem.found, expected=problem.expected)

    def _look_at_others(self, key: Key, standing: EntryState) -> None:
        """After a change, what other phones said contradicts the entry no longer, or does now."""
        now = says_of(standing.now)
        for other, sender in self.state.senders.others(key, standing.number):
            waiting = [n for n in sender.rows if self._is_open(sender, n)]
            if sender.says == now:
                if waiting:
                    self._write(Settled(tuple(waiting), standing.number))
            elif not waiting:
                self._hold_after_all(other, sender, standing)

    def _is_open(self, sender: Sender, number: int) -> bool:
        sent = sender.rows[number].sent
        return number in self.state.held and sent is not None and sent.says == sender.says

    def _hold_after_all(self, key: Key, sender: Sender, standing: EntryState) -> None:
        said = next((e for e in standing.versions if says_of(e) == sender.says), None)
        if said is not None:
            sent = Sent(*key, sender.version, sender.says)
            source = standing.recorded.file
            self._write(self._contradicting(EntryRecorded(said, source, sent=sent), standing))

    def _settle(self, sent: Sent, by: int, *, below: int, conflicts: bool = True) -> None:
        """Rows held of versions below this one wait no longer."""
        earlier = tuple(
            number
            for number, row in self.state.senders.get(sent.key).rows.items()
            if number != by
            and number in self.state.held
            and row.sent is not None
            and row.sent.version < below
            and (conflicts or row.conflicts is None)
        )
        if earlier:
            self._write(Settled(earlier, by))

    def _write(self, content: Content) -> int:
        (record,) = self.ledger.record((content,), who=self.who)
        replay((record,), self.state)
        return record.sequence


def _in_the_way(entry: Entry, standing: Entry) -> Complaint:
    if same_pour(entry, standing):
        field, says, said = next(differences(entry, standing))
    else:
        field, says, said = 'code', entry.code or "nothing", standing.code or "nothing"
    return Complaint(field, f"{says}, where {said} is recorded for this pour", ONE_OF_TWO)
