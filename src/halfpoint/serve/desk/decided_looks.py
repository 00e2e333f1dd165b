"""What needed a look and was decided: shown with who, when and why, to be decided anew."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import islice

from halfpoint.collect.paper.read.model import SEAT
from halfpoint.ledger.another_picture import compared
from halfpoint.ledger.contradiction import as_row
from halfpoint.ledger.decisions import Decisions, Made, Thing
from halfpoint.ledger.look import Doubt
from halfpoint.ledger.look_words import say_choice
from halfpoint.ledger.paper import Asked
from halfpoint.ledger.records import RowHeld, Value
from halfpoint.ledger.replay import State
from halfpoint.ledger.review import asked_about
from halfpoint.serve.desk.looks import (
    ASIDE,
    FINE,
    KEEP,
    TAKE,
    LookItem,
    held_item,
    hint_item,
    hint_items,
    page_item,
    paper_id,
    paper_item,
    pictures_item,
    with_keys,
)
from halfpoint.serve.served import Served, open_ledger
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.words import say_number
from halfpoint.tasting.model import Tasting

WAIT = 'wait'


@dataclass(frozen=True, slots=True)
class DecisionTold:
    """One decision, in words: when, by whom, for what reason, and what was decided."""

    record: int
    made: str
    who: str
    why: str
    said: str


@dataclass(frozen=True, slots=True)
class DecidedLook:
    """What was decided, as it can be decided anew; decisions from the first to the last."""

    item: LookItem
    decisions: tuple[DecisionTold, ...]


@dataclass
class DecidedIndex:
    """Follows one record; only what is new in it is read."""

    _decisions: Decisions = field(default_factory=Decisions)
    _turn: asyncio.Lock = field(default_factory=asyncio.Lock)

    async def catch_up(self, served: Served) -> Decisions:
        """Every decision that is on the disk."""

        def follow() -> Decisions:
            with open_ledger(served.tasting) as ledger:
                # Another record was put in the place of the one before.
                fits = self._decisions.last <= ledger.head.count
                found = self._decisions if fits else Decisions()
                found.follow(ledger.records(after=found.last))
                return found

        async with self._turn:
            self._decisions = await asyncio.to_thread(follow)
            return self._decisions


def decided_looks(
    tasting: Tasting, state: State, decisions: Decisions, before: int, most: int
) -> list[DecidedLook]:
    """The last things decided before a record, the newest first; to be asked within a look."""
    things = (
        thing
        for thing, made in reversed(decisions.made.items())
        if not before or made[-1].record < before
    )
    told = Telling(tasting, state, decisions)
    return list(islice(filter(None, map(told.look, things)), most))


def thing_called(decisions: Decisions, name: str) -> Thing | None:
    """What has this id; None when it was never decided."""
    return next((thing for thing in decisions.made if name_of(decisions, thing) == name), None)


def name_of(decisions: Decisions, thing: Thing) -> str:
    """The id of what was decided, as long as it is decided."""
    match thing.kind:
        case 'row':
            waits = 'held' if decisions.rows[thing.number].conflicts is None else 'conflict'
            return f'{waits}-{thing.number}'
        case 'paper':
            return paper_id(thing.number, thing.place, thing.field, thing.about)
        case 'pictures':
            return f'pictures-{thing.number}-{thing.place}'
        case 'hint':
            return f'left-{thing.number}-{decisions.made[thing][0].record}'
        case _:
            return f'{thing.kind}-{thing.number}'


@dataclass(frozen=True, slots=True)
class Telling:
    """Tells of decisions as things stand now."""

    tasting: Tasting
    state: State
    decisions: Decisions

    def look(self, thing: Thing) -> DecidedLook | None:
        """What was decided; None when it waits again, or was no person's decision."""
        item = self._item(thing)
        if item is None:
            return None
        item = replace(item, id=name_of(self.decisions, thing))
        told = (self._told(thing, item, made) for made in self.decisions.made[thing])
        return DecidedLook(item, tuple(told))

    def _item(self, thing: Thing) -> LookItem | None:
        match thing.kind:
            case 'row':
                item = self._row(thing.number)
            case 'page':
                item = self._page(thing.number)
            case 'paper':
                item = self._paper(thing)
            case 'pictures':
                item = self._pictures(thing)
            case 'hint':
                item = self._hint(thing)
            case 'entry':
                item = next(self._odd(thing.number), None)
        return item

    def _row(self, number: int) -> LookItem | None:
        if number in self.state.waiting():
            return None
        row, became = self.decisions.rows[number], became_of(self.decisions, number)
        if became is None or row.conflicts is not None:
            item = held_item(self.tasting, self.state, number, row, self.stood(number))
            return item if became is None or became.how == 'corrected' else None
        entry = self.state.entries.get(became.entry or 0)
        # What a phone sent later, or was decided on the page, is no decision on the row.
        if entry is None or entry.recorded.sent is not None or entry.recorded.page is not None:
            return None
        item = held_item(self.tasting, self.state, number, row)
        return replace(item, entry=entry.number)

    def stood(self, number: int) -> Entry | None:
        """How the entry read that a row contradicts, before it was first corrected for that."""
        row = self.decisions.rows[number]
        made = became_of(self.decisions, number)
        if row.conflicts is None or made is None or made.how != 'corrected':
            return None
        return self.state.entries[row.conflicts].versions[made.version - 1]

    def _page(self, number: int) -> LookItem | None:
        page = self.state.papers.pages[number]
        if number in self.state.pages_held():
            return None
        item = page_item(page)
        choices = [*((c.value, c.label) for c in item.choices), (WAIT, "let it wait again")]
        return replace(item, choices=with_keys(choices))

    def _hint(self, thing: Thing) -> LookItem:
        now = self.state.entries[thing.number].now
        doubt = Doubt(thing.number, now.taster, now.wine, thing.field, thing.about)
        return hint_item(self.tasting, self.state, doubt, '')

    def _paper(self, thing: Thing) -> LookItem | None:
        page = self.state.papers.pages[thing.number]
        if not page.stands:
            return None
        asked = Asked(thing.number, thing.place, thing.field, thing.about)
        return paper_item(self.tasting, asked_about(self.state, asked))

    def _pictures(self, thing: Thing) -> LookItem | None:
        one, other = (self.state.papers.pages[n] for n in (thing.number, thing.place))
        if one.stands == other.stands:
            # Both are sheets of their own from then on.
            return None
        counts, beside = (one, other) if one.stands else (other, one)
        item = pictures_item(self.tasting, compared(beside, counts))
        choices = [(c.value, c.label) for c in item.choices if c.value in {KEEP, TAKE}]
        return replace(item, choices=with_keys(choices))

    def _odd(self, number: int) -> Iterator[LookItem]:
        if self.state.cover()(self.state.entries[number]) is not None:
            yield from hint_items(self.tasting, self.state, number)

    # --- in words -----------------------------------------------------------------------------

    def _told(self, thing: Thing, item: LookItem, made: Made) -> DecisionTold:
        said = self._said(thing, item, made)
        who = self.state.called.get(made.who, made.who)
        return DecisionTold(made.record, made.made, who, made.why, said)

    def _said(self, thing: Thing, item: LookItem, made: Made) -> str:
        match made.how:
            case 'set_aside':
                is_whole = made.entry is None and item.kind == 'conflict'
                return self._label(item, KEEP if is_whole else ASIDE) or "leave out"
            case 'restored':
                return "let it count again"
            case 'left':
                return self._label(item, FINE)
            case 'decided':
                return _choice(made.value, item.field)
            case 'preferred':
                return self._label(item, KEEP if made.value == item.entry else TAKE)
            case 'settled' | 'corrected':
                return self._version(item, made, self.decisions.rows[thing.number])

    def _version(self, item: LookItem, made: Made, row: RowHeld) -> str:
        entry = self.state.entries[made.entry or 0]
        reads = entry.versions[made.version]
        if row.conflicts is not None:
            if _says(reads, row):
                return self._label(item, TAKE)
            return self._label(item, KEEP) if reads == self.stood(item.other or 0) else "corrected"
        if item.field in reads.marks:
            return say_number(reads.marks[item.field])
        return "corrected" if made.version else "taken in"

    def _label(self, item: LookItem, value: Value) -> str:
        return next((c.label for c in item.choices if c.value == value), "")


def became_of(decisions: Decisions, number: int) -> Made | None:
    """How a row first became an entry, or the correction of one; None when it did neither."""
    made = decisions.made.get(Thing('row', number), ())
    return next((each for each in made if each.how in {'settled', 'corrected'}), None)


def _says(entry: Entry, row: RowHeld) -> bool:
    """Whether an entry says what a row did."""
    told = as_row(entry)
    said = {key: value for key, value in row.original.items() if value}
    return all(told.get(key, value) == value for key, value in said.items() if key != 'position')


def _choice(value: Value, field: str) -> str:
    return "cannot be told" if value is None and field == SEAT else say_choice(value, field)
