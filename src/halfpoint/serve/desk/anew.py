"""Deciding once more: new records over the old ones, and nothing is overwritten."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from halfpoint.collect.table.marktext import read_mark
from halfpoint.errors import UsageError
from halfpoint.ledger.changes import (
    CORRECTABLE,
    changed,
    check_pour_is_free,
    correct,
    restore,
    set_aside,
)
from halfpoint.ledger.decisions import Decisions, Thing
from halfpoint.ledger.planned import follow_code
from halfpoint.ledger.records import Corrected, Left, Target, Value
from halfpoint.serve.desk.decided_looks import WAIT, became_of
from halfpoint.serve.desk.decisions import Came, Deciding, no_choice, written
from halfpoint.serve.desk.looks import ACCEPT, ASIDE, FINE, KEEP, SUM, TAKE, LookItem
from halfpoint.sheet.entry import Entry

AGAIN = "decided anew"


@dataclass(frozen=True, slots=True)
class Anew:
    """Decides what was decided before, within a job of the pen.

    What is set aside counts again first, which is a record of its own.
    """

    deciding: Deciding
    decisions: Decisions
    thing: Thing

    def decide(self, item: LookItem, value: Value) -> Came:
        """Decide an item anew.

        Raises:
            UsageError: the value is none that can be there, or nothing would change.
            NotInLedger: it is there no longer.
        """
        counts_again = self._restore(item)
        match self.thing.kind:
            case 'row':
                return self._row(item, value, counts_again=counts_again)
            case 'page' if value == WAIT:
                return Came()
            case 'hint' | 'entry' if value == FINE:
                self._append(Left(self._entry(item), item.field, item.found, self._why))
                return Came()
            case _:
                return self.deciding.decide(item, value)

    @property
    def _why(self) -> str:
        return self.deciding.why or AGAIN

    def _entry(self, item: LookItem) -> int:
        return item.entry or 0

    def _restore(self, item: LookItem) -> bool:
        state = self.deciding.state
        about = [Target(held=self.thing.number)] if self.thing.kind in {'row', 'page'} else []
        if self.thing.kind in {'row', 'hint', 'entry'} and item.entry is not None:
            about.append(Target(entry=item.entry))
        aside = [target for target in about if state.standing.get(target)]
        if aside:
            restore(self.deciding.ledger, aside, who=self.deciding.who, why=self._why, state=state)
        return bool(aside)

    def _row(self, item: LookItem, value: Value, *, counts_again: bool) -> Came:
        became = became_of(self.decisions, self.thing.number)
        if became is None:
            return self.deciding.decide(item, value)
        if item.kind == 'conflict':
            return self._contradicted(item, value, became.version)
        return self._mended(item, value, counts_again=counts_again)

    def _contradicted(self, item: LookItem, value: Value, version: int) -> Came:
        """The other of two sheets was taken before: it is taken again, or taken back."""
        number, deciding = self._entry(item), self.deciding
        entry = deciding.state.entries[number]
        if value == TAKE:
            changes = deciding.says(self.decisions.rows[self.thing.number])
        elif value == KEEP:
            changes = _taken_back(entry.versions[version - 1], entry.versions[version])
        else:
            raise no_choice(value, item)
        after = changed(deciding.tasting.sheet, entry.now, changes, f"entry {number}")
        if after == entry.now:
            raise _same(number)
        check_pour_is_free(deciding.state, number, after)
        self._append(Corrected(number, after, self._why))
        return Came(corrected=(number,))

    def _mended(self, item: LookItem, value: Value, *, counts_again: bool) -> Came:
        """A row became an entry before: what is decided now is about that entry."""
        number, deciding = self._entry(item), self.deciding
        named = {'who': deciding.who, 'why': self._why}
        if value == ASIDE:
            set_aside(deciding.ledger, [Target(entry=number)], state=deciding.state, **named)
            return Came()
        if value in (ACCEPT, SUM):
            if not counts_again:
                raise _same(number)
            return Came()
        changes = self._changes(item, value)
        correct(
            deciding.ledger, deciding.tasting.sheet, number, changes, state=deciding.state, **named
        )
        return Came(corrected=(number,))

    def _changes(self, item: LookItem, value: Value) -> dict[str, Any]:
        deciding = self.deciding
        if item.field in deciding.tasting.sheet.categories_by_key:
            return {item.field: read_mark(written(value))}
        if item.field != 'code' or deciding.poured is None:
            raise no_choice(value, item)
        changes: dict[str, Any] = {'code': written(value)}
        follow_code(deciding.poured, deciding.state.entries[self._entry(item)].now, changes)
        return changes

    def _append(self, content: Left | Corrected) -> None:
        with self.deciding.ledger.writing():
            self.deciding.ledger.append([content], who=self.deciding.who)


def _taken_back(before: Entry, after: Entry) -> dict[str, Any]:
    """What a correction changed, as it was before; what was corrected since stays."""
    names = (name for name in CORRECTABLE if getattr(before, name) != getattr(after, name))
    marks = {key: mark for key, mark in before.marks.items() if mark != after.marks.get(key)}
    return {**marks, **{name: getattr(before, name) for name in names}}


def _same(number: int) -> UsageError:
    return UsageError(
        "nothing would change", where=f"entry {number}", expected="a value it has not yet"
    )
