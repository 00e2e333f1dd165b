"""A copy of the record in which a person's name is another, with a chain of its own.

The record is never changed. The copy has the same records under the same numbers, and its first
one says from which head it was made, by whom and why.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from halfpoint.errors import LedgerAltered, UsageError
from halfpoint.ledger.bodies import as_body
from halfpoint.ledger.chain import START, Head, Record, as_json, link, walk
from halfpoint.ledger.changes import check_reason
from halfpoint.ledger.records import Opened
from halfpoint.ledger.store import SqliteStore
from halfpoint.ledger.stores import open_store
from halfpoint.tasting.record_place import RecordPlace

# Where the record has a taster's key, and where it has words of people.
KEYS = frozenset({'taster'})
WORDS = frozenset({
    'why', 'found', 'expected', 'remark', 'own_words', 'file', 'message', 'title', 'cleaned_why',
    'losses', 'notes', 'original',
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cleaned:
    """What was made: the head of the record it was made from, its own, and how many changed."""

    copy_of: str
    head: str
    records: int
    changed: int


@dataclass(frozen=True, slots=True)
class Renaming:
    """Whom to call otherwise: the taster's key, and the name people know the taster by."""

    taster: str
    called: str
    names: tuple[str, ...] = ()


def make_cleaned_copy(
    source: RecordPlace, target: Path, renamings: Iterable[Renaming], *, who: str, why: str
) -> Cleaned:
    """Write a copy of a record in which tasters are called otherwise.

    Keys of tasters become the new name; in words that people wrote, the key and the names do, as
    whole words. Everything else stays, the numbers and times of the records included.

    Args:
        source: the record; it stays as it is, and has to verify.
        target: the copy, a file; nothing may be there yet.
        renamings: whom to call otherwise.
        who: who makes the copy.
        why: for what reason.

    Raises:
        UsageError: no name or reason, something is at `target`, or a new name is another's key.
        LedgerAltered: the chain of the record does not hold; nothing is written.
        DiskFull, OutputError, LedgerError: as for `SqliteStore`; nothing is left of the copy.
    """
    check_reason(who, why)
    if target.exists():
        raise UsageError(
            f"{target} is there already", where="the copy", expected="a name that is still free"
        )
    with open_store(source, create=False) as old:
        records = list(old.rows())
    head = _verified(records, source)
    chosen = tuple(renamings)
    _refuse_taken(records, chosen)
    copies = tuple(_linked(records, _Renamer(chosen), head.hash, who, why))
    _write(target, copies)
    changed = sum(a.body != b.body or a.who != b.who for a, b in zip(records, copies, strict=True))
    return Cleaned(head.hash, copies[-1].hash, len(copies), changed)


def _verified(records: list[Record], source: RecordPlace) -> Head:
    result = walk(records)
    if not result.holds or not records:
        raise LedgerAltered(
            result.what or "an empty record",
            where=str(source),
            expected="a record that verifies",
            remedy="go back to the last copy that verifies, and clean that one",
        )
    return Head(result.records, result.head)


def _refuse_taken(records: list[Record], renamings: tuple[Renaming, ...]) -> None:
    """Two tasters under one name could not be told apart any more."""
    tasters = {key for record in records for key in _tasters_in(json.loads(record.body))}
    pseudonyms = {
        json.loads(record.body)['called'] for record in records if record.kind == 'pseudonym'
    }
    for renaming in renamings:
        if renaming.called in tasters - pseudonyms - {renaming.taster}:
            raise UsageError(
                f"'{renaming.called}', which is another taster",
                where="the new name",
                expected="a name that nobody in the record has",
            )


def _tasters_in(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if key in KEYS and isinstance(inner, str):
                yield inner
            else:
                yield from _tasters_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _tasters_in(inner)


def _linked(
    records: Iterable[Record], renamer: _Renamer, copy_of: str, who: str, why: str
) -> Iterator[Record]:
    head = Head(0, START)
    for record in records:
        body = renamer.clean(json.loads(record.body), seat=record.kind == 'decision')
        if record.sequence == 1:
            opened = Opened(**{
                **body, 'copy_of': copy_of, 'cleaned_by': who, 'cleaned_why': renamer.words(why),
            })  # fmt: skip
            body = as_body(opened)
        copy = link(head, record.kind, record.made, renamer.key(record.who), as_json(body))
        head = Head(copy.sequence, copy.hash)
        yield copy


class _Renamer:
    """Puts new names for old ones into what a record says."""

    def __init__(self, renamings: tuple[Renaming, ...]) -> None:
        self._keys: Mapping[str, str] = {each.taster: each.called for each in renamings}
        self._words = [
            (re.compile(rf'(?<!\w){re.escape(word)}(?!\w)', re.IGNORECASE), each.called)
            for each in renamings
            for word in sorted({each.taster, *each.names}, key=len, reverse=True)
            if word.strip()
        ]

    def key(self, text: str) -> str:
        """A key or name that stands alone, or words with it in them."""
        return self._keys.get(text) or self.words(text)

    def words(self, text: str) -> str:
        """Words of people."""
        for word, called in self._words:
            text = called.join(word.split(text))
        return text

    def clean(self, body: dict[str, Any], *, seat: bool) -> dict[str, Any]:
        """The body of a record; `seat` when its value may be a taster."""
        found = {name: self._field(name, value) for name, value in body.items()}
        if seat and found.get('field') == 'seat' and isinstance(found.get('value'), str):
            found['value'] = self.key(found['value'])
        return found

    def _field(self, name: str, value: Any) -> Any:
        if name in KEYS and isinstance(value, str):
            return self._keys.get(value, value)
        if name in WORDS:
            return self._all_words(value)
        if isinstance(value, dict):
            return {key: self._field(key, inner) for key, inner in value.items()}
        if isinstance(value, list):
            return [self._field('', inner) for inner in value]
        return value

    def _all_words(self, value: Any) -> Any:
        if isinstance(value, str):
            return self.key(value)
        if isinstance(value, dict):
            return {key: self._all_words(inner) for key, inner in value.items()}
        if isinstance(value, list):
            return [self._all_words(inner) for inner in value]
        return value


def _write(target: Path, records: tuple[Record, ...]) -> None:
    try:
        with SqliteStore(target, create=True) as new, new.writing():
            new.add(records)
    except BaseException:
        for path in (target, *(target.with_name(f'{target.name}-{end}') for end in ('wal', 'shm'))):
            path.unlink(missing_ok=True)
        raise
