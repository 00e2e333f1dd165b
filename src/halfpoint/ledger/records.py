"""What the record can hold: one small class for each kind of thing that happens."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from dataclasses import field as part
from typing import Any, ClassVar

from halfpoint.sheet.entry import Entry


@dataclass(frozen=True, slots=True)
class Opened:
    """The record was begun for a tasting."""

    kind: ClassVar[str] = 'opened'
    tasting: str
    title: str = ''
    sheet: str = ''


@dataclass(frozen=True, slots=True)
class Planned:
    """The pours were planned; `plan` is the whole plan as plain data, as in `plan.json`."""

    kind: ClassVar[str] = 'planned'
    plan: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class FileGathered:
    """A file was read: its SHA-256 `digest`, and how many rows became what."""

    kind: ClassVar[str] = 'gathered'
    file: str
    digest: str
    new: int
    already: int
    held: int


@dataclass(frozen=True, slots=True)
class EntryRecorded:
    """One taster's sheet for one pour.

    `file` and `row` say where it came from, `covariates` are further columns asked for.
    """

    kind: ClassVar[str] = 'entry'
    entry: Entry
    file: str = ''
    row: int | None = None
    covariates: Mapping[str, float | str | None] = part(default_factory=dict)


@dataclass(frozen=True, slots=True)
class RowHeld:
    """A row received but not acceptable yet.

    `original` is the row as it was written, by column; `conflicts` the entry already recorded
    for the same pour.
    """

    kind: ClassVar[str] = 'held'
    file: str
    row: int
    field: str
    found: str
    expected: str
    original: Mapping[str, str] = part(default_factory=dict)
    conflicts: int | None = None


@dataclass(frozen=True, slots=True)
class Settled:
    """The held rows wait no longer: they came back as the entry or held row numbered `by`."""

    kind: ClassVar[str] = 'settled'
    held: tuple[int, ...]
    by: int


@dataclass(frozen=True, slots=True)
class Corrected:
    """Entry number `of` now reads as `entry`; what it read before stays in the record."""

    kind: ClassVar[str] = 'correction'
    of: int
    entry: Entry
    why: str


@dataclass(frozen=True, slots=True)
class Target:
    """What is set aside: one entry, all of a taster, one site's bottle of a wine, a held row."""

    entry: int | None = None
    taster: str | None = None
    site: str | None = None
    wine: str | None = None
    held: int | None = None

    def __str__(self) -> str:
        if self.entry is not None:
            return f"entry {self.entry}"
        if self.held is not None:
            return f"held row {self.held}"
        if self.taster is not None:
            return f"all entries of taster {self.taster}"
        return f"all entries of wine {self.wine} at site {self.site}"

    @property
    def key(self) -> object:
        """What to look this target up by, from an entry."""
        if self.held is not None:
            return 'held', self.held
        if self.entry is not None:
            return self.entry
        if self.taster is not None:
            return 'taster', self.taster
        return 'bottle', self.site, self.wine

    def covers(self, number: int, entry: Entry) -> bool:
        """Whether the entry with this number, now or later, is meant."""
        return self.key in keys_over(number, entry)


def keys_over(number: int, entry: Entry) -> tuple[object, object, object]:
    """The keys of every target that would cover this entry."""
    return number, ('taster', entry.taster), ('bottle', entry.site, entry.wine)


@dataclass(frozen=True, slots=True)
class SetAside:
    """Kept, but left out of the estimates from here on, for a stated reason."""

    kind: ClassVar[str] = 'set_aside'
    target: Target
    why: str


@dataclass(frozen=True, slots=True)
class Restored:
    """The set-aside with the sequence number `set_aside` holds no longer."""

    kind: ClassVar[str] = 'restored'
    set_aside: int
    why: str


@dataclass(frozen=True, slots=True)
class Revealed:
    """The organiser opened which wine was which."""

    kind: ClassVar[str] = 'reveal'


Content = (
    Opened
    | Planned
    | FileGathered
    | EntryRecorded
    | RowHeld
    | Settled
    | Corrected
    | SetAside
    | Restored
    | Revealed
)

KINDS: Mapping[str, type[Content]] = {
    content.kind: content
    for content in (
        Opened,
        Planned,
        FileGathered,
        EntryRecorded,
        RowHeld,
        Settled,
        Corrected,
        SetAside,
        Restored,
        Revealed,
    )
}


def as_body(content: Content | Entry | Target) -> dict[str, Any]:
    """The content as plain data, ready for JSON; what says no more than its default is left out."""
    return {
        name: as_body(value) if isinstance(value, Entry | Target) else value
        for name, default in _FIELDS[type(content).__name__]
        if (value := getattr(content, name)) != default
    }


def from_body(kind: str, body: dict[str, Any]) -> Content:
    """The content that `as_body` turned into `body`.

    Raises:
        KeyError: `kind` is not known.
        TypeError, ValueError: `body` lacks a field, or has something else in it.
    """
    told = {name: _RESTORE[name](value) for name, value in body.items() if name in _RESTORE}
    if kind in {'entry', 'correction'}:
        told['entry'] = entry_from(body['entry'])
    return KINDS[kind](**{**body, **told})


def entry_from(body: dict[str, Any]) -> Entry:
    """The entry that `as_body` wrote down."""
    for name in ('terms', 'faults'):
        if name in body:
            body[name] = tuple(body[name])
    return Entry(**body)


_RESTORE: Mapping[str, Callable[[Any], Any]] = {
    'held': lambda value: tuple(value) if isinstance(value, list) else value,
    'target': lambda value: Target(**value),
}
# The name and default of every field of every class; a field without default equals no value.
_FIELDS = {
    made_of.__name__: tuple(
        (each.name, {} if each.default_factory is dict else each.default)
        for each in fields(made_of)
    )
    for made_of in (*KINDS.values(), Entry, Target)
}
