"""The record told in words, from its beginning."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, TypeGuard

from halfpoint.ledger.chain import Record
from halfpoint.ledger.contradiction import differences
from halfpoint.ledger.paper_words import on_paper
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
    Opened,
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
from halfpoint.ledger.replay import NOT_UNDERSTOOD, not_understood
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.words import say_number


@dataclass(frozen=True, slots=True)
class Happening:
    """One record, told in words; `entry` is the number of the entry it is about, if one."""

    sequence: int
    made: str
    who: str
    kind: str
    entry: int | None
    what: str


@dataclass(frozen=True, slots=True)
class Filter:
    """Which records are wanted: all, or those about an entry, a taster, a wine."""

    entry: int | None = None
    taster: str | None = None
    wine: str | None = None

    @property
    def all(self) -> bool:
        """Whether nothing is left out."""
        return self.entry is None and self.taster is None and self.wine is None

    def wants(self, number: int, entry: Entry) -> bool:
        """Whether this entry is meant."""
        return (
            self.entry in (None, number)
            and self.taster in (None, entry.taster)
            and self.wine in (None, entry.wine)
        )


def history(records: Iterable[Record], wanted: Filter | None = None) -> tuple[Happening, ...]:
    """What happened, in order: everything, or all that touched the entries wanted.

    Until the reveal nothing is said by which a code could be told from its wine. A taster with a
    pseudonym is called by it from the beginning.

    Raises:
        LedgerAltered: a record cannot be understood, or refers to one that is not there.
    """
    records = list(records)
    kinds = {record.kind for record in records}
    blind = Planned.kind in kinds and Revealed.kind not in kinds
    telling = _Telling(wanted or Filter(), blind)
    if not telling.wanted.all:
        # A set-aside may come before the entry it covers, so the entries are met first.
        for record in records:
            telling.tell(record)
    found = (telling.tell(record) for record in records)
    called = _pseudonyms(records)
    return tuple(_called_by(each, called) for each in found if each is not None)


@dataclass(slots=True)
class _Telling:
    wanted: Filter
    blind: bool
    entries: dict[int, Entry] = field(default_factory=dict)
    wanted_keys: set[object] = field(default_factory=set)
    set_asides: dict[int, Target] = field(default_factory=dict)

    def tell(self, record: Record) -> Happening | None:
        try:
            content = record.content
            what = self._words(content)
            entry, touched = self._about(record.sequence, content)
        except NOT_UNDERSTOOD as reason:
            raise not_understood(record) from reason
        if not (self.wanted.all or touched):
            return None
        return Happening(record.sequence, record.made, record.who, record.kind, entry, what)

    def _about(self, sequence: int, content: Content) -> tuple[int | None, bool]:
        """The entry it is about, and whether it touches what is wanted."""
        about: tuple[int | None, bool] = (None, False)
        match content:
            case EntryRecorded():
                about = sequence, self._received(sequence, content)
            case Corrected():
                about = content.of, self._met(content.of, content.entry)
            case Confirmed() | Left() | Pseudonym() | Consented():
                about = self._beside(content)
            case SetAside():
                self.set_asides[sequence] = content.target
                about = content.target.entry, self._meant(content.target)
            case Restored():
                target = self.set_asides[content.set_aside]
                about = target.entry, self._meant(target)
            case RowHeld():
                about = content.conflicts, self._held(content)
            case Settled():
                about = content.by, content.by in self.wanted_keys
            case PageRecorded() | Decided() | Preferred() | Audited():
                about = None, self._on_paper(sequence, content)
        return about

    def _beside(self, content: Confirmed | Left | Pseudonym | Consented) -> tuple[int | None, bool]:
        if isinstance(content, Pseudonym | Consented):
            return None, ('taster', content.taster) in self.wanted_keys
        number = content.of if isinstance(content, Confirmed) else content.entry
        return number, number in self.wanted_keys

    def _received(self, number: int, content: EntryRecorded) -> bool:
        touched = self._met(number, content.entry)
        if touched and content.page is not None:
            self.wanted_keys |= {_page(content.page), _page(content.page, content.place)}
        return touched

    def _on_paper(
        self, sequence: int, content: PageRecorded | Decided | Preferred | Audited
    ) -> bool:
        keys = self.wanted_keys
        match content:
            case PageRecorded():
                own = self.wanted == Filter(taster=content.taster or None)
                return own or _page(sequence) in keys
            case Decided():
                return _page(content.page, content.place or None) in keys
            case Preferred() if _page(content.instead_of) in keys:
                # What was said of one picture goes on in the other.
                keys |= {(*k[:1], content.page, *k[2:]) for k in keys if _is_of(k, content)}
                return True
            case Audited():
                return any(_page(page) in keys for page in content.pages)
        return False

    def _words(self, content: Content) -> str:
        if isinstance(content, Corrected):
            return _corrected(content, self.entries[content.of], self.blind)
        if isinstance(content, Restored):
            return f"restored {self.set_asides[content.set_aside]}: {content.why}"
        if isinstance(content, Confirmed | Left | Pseudonym | Consented):
            return _beside_words(content)
        return _said(content)

    def _met(self, number: int, entry: Entry) -> bool:
        self.entries[number] = entry
        if self.wanted.wants(number, entry):
            self.wanted_keys.update(keys_over(number, entry))
        return number in self.wanted_keys

    def _meant(self, target: Target) -> bool:
        return target.key in self.wanted_keys

    def _held(self, row: RowHeld) -> bool:
        if row.conflicts is not None:
            return row.conflicts in self.wanted_keys
        names = {name for name in (self.wanted.taster, self.wanted.wine) if name}
        return bool(names) and self.wanted.entry is None and names <= set(row.original.values())


def _pseudonyms(records: Iterable[Record]) -> dict[str, str]:
    contents = (record.content for record in records if record.kind == Pseudonym.kind)
    return {c.taster: c.called for c in contents if isinstance(c, Pseudonym)}


def _called_by(happening: Happening, called: Mapping[str, str]) -> Happening:
    what, who = happening.what, happening.who
    for taster, name in called.items():
        word = re.compile(rf'(?<!\w){re.escape(taster)}(?!\w)')
        what = word.sub(name.replace('\\', r'\\'), what)
        who = name if who == taster else who
    return replace(happening, what=what, who=who)


def _received(content: EntryRecorded) -> str:
    entry = content.entry
    marks = ", ".join(f"{key} {say_number(mark)}" for key, mark in entry.marks.items())
    where = f" at {entry.site}" if entry.site else ""
    source = f" ({content.origin})" if content.origin else ""
    total = say_number(entry.total)
    return f"{entry.taster} marked {entry.wine}{where} {total}: {marks}{source}"


def _corrected(content: Corrected, before: Entry, blind: bool) -> str:
    changes = {name: f"{was} → {now}" for name, was, now in differences(before, content.entry)}
    if blind and 'code' in changes:
        changes = {k: v for k, v in changes.items() if k != 'wine'} | {'code': "another"}
    said = "; ".join(f"{name} {change}" for name, change in changes.items())
    return f"corrected entry {content.of}: {said}. {content.why}"


def _beside_words(content: Confirmed | Left | Pseudonym | Consented) -> str:
    match content:
        case Confirmed():
            return f"said again what entry {content.of} says"
        case Left():
            return f"looked at entry {content.entry}, {content.field}, and left it as it is"
        case Pseudonym():
            return f"called a taster {content.called} from here on"
        case Consented():
            what = "agreed to" if content.letter else "does not want"
            return f"{content.taster} {what} a letter"


def _held_words(row: RowHeld) -> str:
    return f"held {row.origin}, {row.field}: {row.found}; expected {row.expected}"


def _page(number: int | None, place: int | None = None) -> tuple[str, int | None, int | None]:
    """The key of a page, or of a block on it."""
    return 'page', number, place


def _is_of(key: object, preferred: Preferred) -> TypeGuard[tuple[Any, ...]]:
    return isinstance(key, tuple) and key[:2] == ('page', preferred.instead_of)


def _planned(content: Planned) -> str:
    pours = content.plan['pours']
    sites = len({pour['site'] for pour in pours})
    at = "1 site" if sites == 1 else f"{sites:,} sites"
    return f"planned {len(pours):,} {'pour' if len(pours) == 1 else 'pours'} at {at}"


def _said(content: Content) -> str:
    words = content.kind
    match content:
        case EntryRecorded():
            words = _received(content)
        case RowHeld():
            words = _held_words(content)
        case SetAside():
            words = f"set aside {content.target}: {content.why}"
        case Settled():
            held = ", ".join(map(str, content.held))
            why = f": {content.why}" if content.why else ""
            words = f"held row {held} settled by record {content.by}{why}"
        case Opened():
            words = f"opened for {content.title or content.tasting}"
        case Planned():
            words = _planned(content)
        case FileGathered():
            counts = f"{content.new} new, {content.already} already there, {content.held} held"
            words = f"gathered {content.file}: {counts}"
        case PageRecorded() | Decided() | Preferred() | Audited():
            words = on_paper(content)
        case Revealed():
            words = "revealed which wine was which"
    return words
