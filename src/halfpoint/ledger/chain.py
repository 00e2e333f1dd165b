"""The hash chain: each record carries the SHA-256 of itself and of the one before."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from halfpoint.errors import LedgerAltered
from halfpoint.ledger.bodies import from_body
from halfpoint.ledger.records import KINDS, Content

START = '0' * 64


@dataclass(frozen=True, slots=True)
class Record:
    """One line of the record as it lies on disk. `body` is JSON."""

    sequence: int
    kind: str
    made: str
    who: str
    body: str
    previous: str
    hash: str

    @property
    def content(self) -> Content:
        """What the record says."""
        return from_body(self.kind, json.loads(self.body))


@dataclass(frozen=True, slots=True)
class Head:
    """The end of the record: how many there are, and the hash of the last one."""

    count: int
    hash: str


@dataclass(frozen=True, slots=True)
class VerifyResult:
    """What walking the chain found.

    `broken_at` is the sequence number of the first record that does not hold (None when all
    hold), `what` says in words what is wrong there, `noted_at` where the noted head was found.
    """

    records: int
    head: str
    broken_at: int | None = None
    what: str = ''
    noted_at: int | None = None

    @property
    def holds(self) -> bool:
        """Whether nothing was found altered."""
        return not self.what


_as_json = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(',', ':')).encode


def as_json(value: Mapping[str, Any]) -> str:
    """`value` as JSON without blanks or NaN, keys in the order given (that of the sheet)."""
    return _as_json(value)


def digest(sequence: int, kind: str, made: str, who: str, body: str, previous: str) -> str:
    """SHA-256 (FIPS 180-4), in hexadecimal, over the JSON list of the six fields in UTF-8."""
    line = _as_json([sequence, kind, made, who, body, previous])
    return hashlib.sha256(line.encode('utf-8')).hexdigest()


def link(head: Head, kind: str, made: str, who: str, body: str) -> Record:
    """The record that follows `head`."""
    sequence = head.count + 1
    own = digest(sequence, kind, made, who, body, head.hash)
    return Record(sequence, kind, made, who, body, head.hash, own)


def walk(records: Iterable[Record], noted: str = '') -> VerifyResult:
    """Walk the chain from its start and stop at the first record that does not hold.

    `noted` is a head (or the first digits of one) written down earlier: the record that
    carries it must still be there, else the end was cut off or written anew.
    """
    last, noted_at = Head(0, START), None
    try:
        for record in records:
            if what := _fault(last, record):
                return VerifyResult(last.count, last.hash, last.count + 1, what, noted_at)
            last = Head(record.sequence, record.hash)
            if noted and record.hash.startswith(noted):
                noted_at = record.sequence
    except LedgerAltered as unreadable:
        return VerifyResult(last.count, last.hash, last.count + 1, unreadable.found, noted_at)
    what = ''
    if noted and noted_at is None:
        what = "the noted head is not in the record: its end was cut off, or it was written anew"
    return VerifyResult(last.count, last.hash, None, what, noted_at)


def _fault(last: Head, record: Record) -> str:
    if record.sequence != last.count + 1:
        return f"a record is missing: {last.count} is followed by {record.sequence}"
    if record.previous != last.hash:
        return "it does not follow from the record before it"
    try:
        own = digest(
            record.sequence, record.kind, record.made, record.who, record.body, record.previous
        )
    except (TypeError, ValueError):
        return "a field holds something that is not text"
    if own != record.hash:
        return "its content does not match its hash"
    if record.kind not in KINDS:
        return f"its kind ({record.kind}) is not known"
    return ''
