"""What the record can hold: one small class for each kind of thing that happens."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as part
from typing import Any, ClassVar, get_args

from halfpoint.collect.paper.read.model import HeldPage, Look, PourReading
from halfpoint.sheet.entry import Entry

Value = float | str | None


@dataclass(frozen=True, slots=True)
class Opened:
    """The record was begun for a tasting.

    In a cleaned copy, `copy_of` is the head of the record it was made from, `cleaned_by` who
    made it and `cleaned_why` for what reason.
    """

    kind: ClassVar[str] = 'opened'
    tasting: str
    title: str = ''
    sheet: str = ''
    copy_of: str = ''
    cleaned_by: str = ''
    cleaned_why: str = ''


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
class Sent:
    """How a sheet came from a phone: `version` of what `device` calls `id`.

    `device` is short for the name the device gave itself. `says` is short for the SHA-256 of
    what was said, so that the same said again is known. `written` is by the clock of the device.
    """

    device: str
    id: str
    version: int
    says: str
    written: str = ''

    @property
    def key(self) -> tuple[str, str]:
        """What stays the same over versions."""
        return self.device, self.id


@dataclass(frozen=True, slots=True)
class EntryRecorded:
    """One taster's sheet for one pour.

    `file` and `row` say where it came from, `covariates` are further columns asked for. From
    paper, `page` is the record of its page and `place` the block on it, and `row` the page of
    the file; from a phone, `sent` says which version of what it is.
    """

    kind: ClassVar[str] = 'entry'
    entry: Entry
    file: str = ''
    row: int | None = None
    covariates: Mapping[str, float | str | None] = part(default_factory=dict)
    page: int | None = None
    place: int | None = None
    sent: Sent | None = None

    @property
    def origin(self) -> str:
        """Where it came from, in words; '' when that is not known."""
        return _origin(self.file, self.row, self.page, self.sent) if self.file else ""


def _origin(file: str, row: int | None, page: int | None, sent: Sent | None) -> str:
    if sent is not None:
        return file
    return f"{file}, {'row' if page is None else 'page'} {row}"


@dataclass(frozen=True, slots=True)
class RowHeld:
    """A row received but not acceptable yet.

    `original` is the row as it was written, by column; `conflicts` the entry already recorded
    for the same pour; `page`, `place` and `sent` as in `EntryRecorded`.
    """

    kind: ClassVar[str] = 'held'
    file: str
    row: int
    field: str
    found: str
    expected: str
    original: Mapping[str, str] = part(default_factory=dict)
    conflicts: int | None = None
    page: int | None = None
    place: int | None = None
    sent: Sent | None = None

    @property
    def origin(self) -> str:
        """Where it came from, in words."""
        return _origin(self.file, self.row, self.page, self.sent)


@dataclass(frozen=True, slots=True)
class Settled:
    """The held rows wait no longer: they came back as the entry or held row numbered `by`.

    `why` is the reason of whoever mended them, if one was given.
    """

    kind: ClassVar[str] = 'settled'
    held: tuple[int, ...]
    by: int
    why: str = ''


@dataclass(frozen=True, slots=True)
class Corrected:
    """Entry number `of` now reads as `entry`; what it read before stays in the record.

    `sent` when it was the taster's own phone that changed it.
    """

    kind: ClassVar[str] = 'correction'
    of: int
    entry: Entry
    why: str
    sent: Sent | None = None


@dataclass(frozen=True, slots=True)
class Confirmed:
    """A phone said what entry number `of` says already."""

    kind: ClassVar[str] = 'confirmed'
    of: int
    sent: Sent


@dataclass(frozen=True, slots=True)
class Left:
    """A person looked at something odd on entry number `entry`, and left it as it is.

    `field` and `message` are what was odd, as a hint says it.
    """

    kind: ClassVar[str] = 'left'
    entry: int
    field: str
    message: str
    why: str = ''


@dataclass(frozen=True, slots=True)
class Pseudonym:
    """Wherever anything is shown from here on, the taster is called by another name."""

    kind: ClassVar[str] = 'pseudonym'
    taster: str
    called: str
    why: str = ''


@dataclass(frozen=True, slots=True)
class Consented:
    """A taster agreed to get a letter, or no longer does; the last word counts."""

    kind: ClassVar[str] = 'consent'
    taster: str
    letter: bool


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


@dataclass(frozen=True, slots=True)
class PageRecorded:
    """A page of a scan or a photograph was read, or is `held` because it could not be.

    `page` counts in the file from 1, `digest` is the SHA-256 of the file and `picture` that of
    the kept picture, '' for none. What follows is as in `PageReading`; `reader` says which
    reader it was. `same_as` is the page that says the same, and this one then adds nothing;
    `another_of` one that says something else, and this one then waits for a person's choice.
    """

    kind: ClassVar[str] = 'page'
    file: str
    page: int
    digest: str
    picture: str = ''
    payload: str = ''
    site: str = ''
    seat: int | None = None
    number: int = 0
    sheet: int = 0
    taster: str = ''
    wines_a_page: int = 0
    pours: tuple[PourReading, ...] = ()
    looks: tuple[Look, ...] = ()
    reader: str = ''
    held: HeldPage | None = None
    another_of: int | None = None
    same_as: int | None = None

    @property
    def is_spare(self) -> bool:
        """Whether the taster wrote on it who and what it is about."""
        return self.seat is None


@dataclass(frozen=True, slots=True)
class Decided:
    """A person looked at record `page` and said what stands there.

    `place` is the block, 0 for the page as a whole; `field` and `about` as in `Look`. `value` is
    a mark or total, 1 or 0 for a box, a code or a seat; None for nothing, or not to be told.
    """

    kind: ClassVar[str] = 'decision'
    page: int
    place: int
    field: str
    about: str = ''
    value: Value = None
    why: str = ''


@dataclass(frozen=True, slots=True)
class Preferred:
    """A person chose the picture in record `page` over that in `instead_of`.

    Without `instead_of` both are sheets of their own: a spare was copied before it was filled.
    """

    kind: ClassVar[str] = 'preferred'
    page: int
    instead_of: int | None = None
    why: str = ''


@dataclass(frozen=True, slots=True)
class WrongReading:
    """What a second look found to be read wrongly; `field` and `about` as in `Look`."""

    page: int
    place: int
    field: str
    about: str = ''
    read: Value = None
    truth: Value = None


@dataclass(frozen=True, slots=True)
class Audited:
    """Pages drawn at random were looked at a second time.

    `pages` are their records, `marks` and `boxes` how many were looked at that no person had
    decided before, and `wrong` those that were read wrongly.
    """

    kind: ClassVar[str] = 'audit'
    pages: tuple[int, ...]
    seed: int
    marks: int
    boxes: int
    wrong: tuple[WrongReading, ...] = ()


Content = (
    Opened
    | Planned
    | FileGathered
    | EntryRecorded
    | RowHeld
    | Settled
    | Corrected
    | Confirmed
    | Left
    | Pseudonym
    | Consented
    | SetAside
    | Restored
    | Revealed
    | PageRecorded
    | Decided
    | Preferred
    | Audited
)

KINDS: Mapping[str, type[Content]] = {content.kind: content for content in get_args(Content)}
