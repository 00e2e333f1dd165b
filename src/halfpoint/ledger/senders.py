"""What phones have sent: which versions are known, what each said, and who an entry is from."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from halfpoint.ledger.chain import as_json
from halfpoint.ledger.records import Corrected, EntryRecorded, RowHeld, Sent
from halfpoint.sheet.entry import Entry

Key = tuple[str, str]


@dataclass(slots=True)
class Sender:
    """What one phone has said of one pour.

    `version` and `says` are the newest that could be accepted, and `number` the entry it is
    about. `heard` has the record of everything that came: version and what it said → number.
    `rows` are its held rows, by number.
    """

    number: int | None = None
    version: int = 0
    says: str = ''
    heard: dict[tuple[int, str], int] = field(default_factory=dict)
    rows: dict[int, RowHeld] = field(default_factory=dict)

    @property
    def newest(self) -> int:
        """The newest version that came, acceptable or not."""
        return max((version for version, _ in self.heard), default=0)


class Senders:
    """Every phone that has sent something, pour by pour."""

    def __init__(self) -> None:
        self._senders: dict[Key, Sender] = {}
        self._about: dict[int, dict[Key, Sender]] = defaultdict(dict)
        self._owner: dict[int, Key] = {}

    def get(self, key: Key) -> Sender:
        """What is known under this key; nothing yet when it is new."""
        return self._senders.get(key) or Sender()

    def owns(self, key: Key, number: int) -> bool:
        """Whether the entry is this phone's, and nobody else has corrected it."""
        return self._owner.get(number) == key

    def owner(self, number: int) -> tuple[Key, Sender] | None:
        """The phone that an entry is from, unless somebody else has corrected it."""
        key = self._owner.get(number)
        return None if key is None else (key, self.get(key))

    def others(self, key: Key, number: int) -> Iterator[tuple[Key, Sender]]:
        """The other phones that spoke of the pour of this entry."""
        return ((k, sender) for k, sender in list(self._about[number].items()) if k != key)

    def recorded(self, number: int, content: EntryRecorded) -> None:
        """An entry was recorded."""
        if content.sent is not None:
            self._owner[number] = content.sent.key
            self.said(content.sent, number, number)

    def corrected(self, content: Corrected) -> None:
        """An entry reads otherwise: by the phone it is from, or by a person."""
        if content.sent is None:
            self._owner.pop(content.of, None)
        else:
            self.said(content.sent, content.of)

    def held(self, number: int, row: RowHeld) -> None:
        """A row was held."""
        if row.sent is None:
            return
        sender = self._senders.setdefault(row.sent.key, Sender())
        sender.rows[number] = row
        if row.conflicts is not None:
            self.said(row.sent, row.conflicts, number)
        sender.heard[row.sent.version, row.sent.says] = number

    def said(self, sent: Sent, of: int, record: int | None = None) -> None:
        """Something acceptable was said about the pour of entry `of`."""
        sender = self._senders.setdefault(sent.key, Sender())
        sender.heard[sent.version, sent.says] = of if record is None else record
        if sent.version > sender.version:
            sender.version, sender.says = sent.version, sent.says
        if sender.number not in (None, of):
            self._about[sender.number or 0].pop(sent.key, None)
        sender.number = of
        self._about[of][sent.key] = sender


def says_of(entry: Entry) -> str:
    """Short for all that an entry says of its pour; the same words in another order are the same.

    The first 16 hexadecimal digits of the SHA-256 of the words as JSON.
    """
    words = {
        'code': entry.code,
        'marks': {key: float(entry.marks[key]) for key in sorted(entry.marks)},
        'terms': sorted(entry.terms),
        'faults': sorted(entry.faults),
        'families': sorted(entry.families),
        'own': sorted(entry.own_words),
        'finish': None if entry.finish_seconds is None else float(entry.finish_seconds),
        'band': entry.finish_band,
        'remark': entry.remark,
    }
    return short_digest(as_json(words))


def short_digest(text: str) -> str:
    """The first 16 hexadecimal digits of the SHA-256 of a text in UTF-8."""
    return hashlib.sha256(text.encode('utf-8')).hexdigest()[:16]
