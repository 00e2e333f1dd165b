"""What comes of deciding something that needs a look: one record at least, with name and reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from halfpoint.collect.table.gather import HeldRow, read_marks
from halfpoint.collect.table.held import held_text
from halfpoint.collect.table.marktext import read_mark
from halfpoint.collect.table.poured import Poured
from halfpoint.collect.table.words import ROLE_WORDS, plain
from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.another_picture import prefer, stand_beside
from halfpoint.ledger.changes import changed, check_pour_is_free, correct, leave, set_aside
from halfpoint.ledger.from_table import arrivals
from halfpoint.ledger.intake import take_in
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.paper import BOXES, Asked
from halfpoint.ledger.records import Corrected, RowHeld, Target, Value
from halfpoint.ledger.replay import State
from halfpoint.ledger.review import decide
from halfpoint.serve.desk.looks import (
    ACCEPT,
    ASIDE,
    BESIDE,
    FINE,
    KEEP,
    NOTHING,
    SUM,
    TAKE,
    WRITTEN_TOTAL,
    LookItem,
)
from halfpoint.sheet.words import fold, split_words
from halfpoint.tasting.model import Tasting

FROM_DESK = "the desk"


@dataclass(frozen=True, slots=True)
class Came:
    """What came of it: entries made and corrected, and why it still waits, when it does."""

    entries: tuple[int, ...] = ()
    corrected: tuple[int, ...] = ()
    held: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Deciding:
    """Decides within a job of the pen. `poured` is None while nothing is planned."""

    ledger: Ledger
    state: State
    tasting: Tasting
    poured: Poured | None
    who: str
    why: str

    def decide(self, item: LookItem, value: Value) -> Came:
        """Decide an item.

        Raises:
            UsageError: the value is none that can be there.
            NotInLedger: it is there no longer.
        """
        match item.kind:
            case 'conflict':
                return self._conflict(item, value)
            case 'held':
                return self._held(item, value)
            case 'hint':
                return self._hint(item, value)
            case 'paper':
                return self._paper(item, value)
            case 'page':
                return self._aside(Target(held=item.other), item)
            case 'other_picture':
                return self._picture(item, value)

    def _aside(self, target: Target, item: LookItem) -> Came:
        set_aside(
            self.ledger, [target], who=self.who, why=self.why or item.question, state=self.state
        )
        return Came()

    def _conflict(self, item: LookItem, value: Value) -> Came:
        if value == KEEP:
            return self._aside(Target(held=item.other), item)
        if value != TAKE:
            raise no_choice(value, item)
        row, number = self._row(item), item.entry or 0
        before = self.state.entries[number].now
        changes = self.says(row)
        after = changed(self.tasting.sheet, before, changes, f"entry {number}")
        with self.ledger.writing():
            check_pour_is_free(self.state, number, after)
            why = self.why or f"the other of two sheets was right ({row.origin})"
            self.ledger.append([Corrected(number, after, why)], who=self.who)
        return Came(corrected=(number,))

    def says(self, row: RowHeld) -> dict[str, Any]:
        """What a contradicting row says, as changes to an entry."""
        said = row.original
        marks = {
            key: read_mark(said[key]) for key in self.tasting.sheet.categories_by_key if key in said
        }
        lists = {
            name: tuple(split_words(said.get(name, '')))
            for name in ('terms', 'faults', 'families', 'own_words')
        }
        seconds = read_mark(said.get('finish', '') or '')
        beside = {'remark': said.get('remark', ''), 'finish_band': said.get('finish_band', '')}
        changes = marks | lists | beside | {'finish_seconds': seconds}
        return changes | self._by_code(said)

    def _by_code(self, said: Mapping[str, str]) -> dict[str, Any]:
        site, code = said.get('site', ''), said.get('code', '')
        behind = self.poured.at(site, code) if self.poured is not None and code else None
        if behind is None or self.poured is None:
            return {}
        place = self.poured.places.get((site, said.get('taster', '')), {}).get(code)
        return {'code': code, 'wine': behind.wine, 'pour': behind.pour, 'position': place}

    def _held(self, item: LookItem, value: Value) -> Came:
        if value == ASIDE:
            return self._aside(Target(held=item.other), item)
        row = self._row(item)
        original = dict(row.original)
        if value == SUM and row.field == WRITTEN_TOTAL:
            original[total_column(original)] = ''
        elif value != ACCEPT:
            if not item.free:
                raise no_choice(value, item)
            original[_column(row, self.tasting)] = written(value)
        return self._come_back(row, original)

    def _come_back(self, row: RowHeld, original: Mapping[str, str]) -> Came:
        """A held row mended, taken in as the terminal takes a mended file."""
        mended = HeldRow(row.file, row.row, row.field, row.found, row.expected, original)
        text = held_text([mended])
        with TemporaryDirectory(prefix='halfpoint-') as folder:
            file = Path(folder) / 'held.csv'
            file.write_text(text, encoding='utf-8')
            gathered = read_marks(
                file, sheet=self.tasting.sheet, tasting=self.tasting, poured=self.poured
            )
        arrived = arrivals(gathered, self.tasting, name=FROM_DESK)
        before = self.state.last
        intake = take_in(
            self.ledger,
            file=FROM_DESK,
            digest=sha256(text.encode('utf-8')).hexdigest(),
            entries=arrived.entries,
            held=arrived.held,
            mended=True,
            who=self.who,
            why=self.why,
            state=self.state,
        )
        new = tuple(r.sequence for r in self.ledger.records(after=before) if r.kind == 'entry')
        held = (*intake.held, *intake.held_before)
        return Came(new, (), tuple(f"{h.field}: {h.found}; expected {h.expected}" for h in held))

    def _hint(self, item: LookItem, value: Value) -> Came:
        number = item.entry or 0
        if value == ASIDE:
            return self._aside(Target(entry=number), item)
        if value == FINE:
            leave(
                self.ledger, number, item.field, item.found, who=self.who, why=self.why,
                state=self.state,
            )  # fmt: skip
            return Came()
        if not item.free:
            raise no_choice(value, item)
        mark = read_mark(written(value))
        correct(
            self.ledger, self.tasting.sheet, number, {item.field: mark}, who=self.who,
            why=self.why or f"looked at again: {item.question}", state=self.state,
        )  # fmt: skip
        return Came(corrected=(number,))

    def _paper(self, item: LookItem, value: Value) -> Came:
        page, place = (int(part) for part in item.id.split('-')[1:3])
        said = None if value == NOTHING else value
        if isinstance(said, str) and item.field not in {'code', 'seat'} | BOXES:
            said = _number(said, item)
        came = decide(
            self.ledger,
            self.tasting,
            self.poured or Poured.by_plan((), one_room=not self.tasting.sites),
            Asked(page, place, item.field, item.about),
            said,
            who=self.who,
            why=self.why,
            state=self.state,
        )
        held = tuple(f"{h.field}: {h.found}; expected {h.expected}" for h in came.held)
        return Came(came.entries, came.corrected, held)

    def _picture(self, item: LookItem, value: Value) -> Came:
        counts, other = item.entry or 0, item.other or 0
        poured = self.poured or Poured.by_plan((), one_room=not self.tasting.sites)
        place = (self.ledger, self.tasting, poured)
        if value == BESIDE:
            came = stand_beside(*place, other, who=self.who, why=self.why, state=self.state)
        elif value in (KEEP, TAKE):
            new, old = (other, counts) if value == TAKE else (counts, other)
            came = prefer(*place, new, instead_of=old, who=self.who, why=self.why, state=self.state)
        else:
            raise no_choice(value, item)
        held = tuple(f"{h.field}: {h.found}; expected {h.expected}" for h in came.held)
        return Came(came.entries, came.corrected, held)

    def _row(self, item: LookItem) -> RowHeld:
        row = self.state.held.get(item.other or 0)
        if row is None:
            raise NotInLedger("this row waits no longer", remedy="load the list again")
        return row


def _column(row: RowHeld, tasting: Tasting) -> str:
    """The column of the row in which what is held stands."""
    category = tasting.sheet.categories_by_key.get(row.field)
    names = {fold(row.field), *([fold(category.label)] if category else [])}
    return next((column for column in row.original if fold(column) in names), row.field)


def total_column(original: Mapping[str, str]) -> str:
    """The column of a row in which the taster's own sum stands."""
    names = {plain(name) for name in ROLE_WORDS[WRITTEN_TOTAL]}
    return next((column for column in original if plain(column) in names), WRITTEN_TOTAL)


def written(value: Value) -> str:
    """A value as it is typed into a table."""
    if value is None:
        return ''
    return f'{value:.15g}' if isinstance(value, float | int) else value.strip()


def _number(said: str, item: LookItem) -> float:
    number = read_mark(said)
    if number is None:
        raise UsageError(f"'{said[:40]}'", where=item.question, expected=item.free or "a choice")
    return number


def no_choice(value: Value, item: LookItem) -> UsageError:
    """The refusal of a value that is none of the choices."""
    expected = ", ".join(f"{choice.key}: {choice.label}" for choice in item.choices)
    return UsageError(f"'{value}'", where=item.question, expected=expected)
