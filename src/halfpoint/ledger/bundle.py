"""A site's sheets as one file, for rooms without a network; loaded elsewhere, twice adds nothing.

The file is JSON (RFC 8259), as it is or in gzip (RFC 1952). It has codes and no wines.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from halfpoint.collect.paper.read.expected import unlisted_taster
from halfpoint.collect.phone.filled import (
    Checked,
    Desk,
    Filled,
    Seat,
    as_row,
    check_filled,
)
from halfpoint.collect.table.poured import Poured
from halfpoint.errors import InputError
from halfpoint.ledger.chain import as_json
from halfpoint.ledger.from_phone import Answer, SheetArrived
from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.records import RowHeld, Sent
from halfpoint.ledger.replay import State
from halfpoint.ledger.senders import says_of, short_digest
from halfpoint.sheet.entry import Complaint, Entry
from halfpoint.sheet.words import split_words

FORMAT, VERSION = 'halfpoint-site', 1
MOST_BYTES = 64 * 1024 * 1024
_BY_HAND = 'bundle'


class _Part(BaseModel):
    model_config = ConfigDict(extra='forbid', frozen=True, allow_inf_nan=False)


class _Sent(_Part):
    device: str = Field(max_length=40)
    id: str = Field(max_length=80)
    version: int = Field(ge=1)
    written: str = Field(default='', max_length=40)


class _Sheet(_Part):
    taster: str
    code: str
    source: str = ''
    marks: dict[str, float]
    terms: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    families: tuple[str, ...] = ()
    own_words: tuple[str, ...] = ()
    finish_seconds: float | None = None
    finish_band: str = ''
    remark: str = ''
    sent: _Sent


class _Held(_Part):
    source: str
    field: str
    found: str
    expected: str
    original: dict[str, str]
    sent: _Sent


class _Bundle(_Part):
    format: str
    version: int
    tasting: str
    site: str
    entries: tuple[_Sheet, ...]
    held: tuple[_Held, ...]
    left_out: int = Field(ge=0)
    sha256: str


@dataclass(frozen=True, slots=True)
class Bundle:
    """A bundle that was read and holds: whose it is, and the sheets in it."""

    site: str
    content: _Bundle


def bundle_of(state: State, *, tasting: str, site: str, one_room: bool) -> bytes:
    """The entries and held rows of a site, as a file; the same record gives the same bytes.

    An entry without a code is left out and counted: it would have to name its wine.

    Args:
        state: how things stand.
        tasting: key of the tasting.
        site: key of the site.
        one_room: whether the tasting file lists no sites.
    """
    at_site = None if one_room else site
    entries = [entry for entry in state.entries.values() if entry.now.site == at_site]
    coded = [entry for entry in entries if entry.now.code]
    rows = [row for row in state.waiting().values() if one_room or row.original.get('site') == site]
    content = {
        'format': FORMAT,
        'version': VERSION,
        'tasting': tasting,
        'site': site,
        'entries': [
            *(_sheet(state, entry) for entry in coded),
            *(_contradicting(row) for row in rows if row.conflicts is not None),
        ],
        'held': [_held(row) for row in rows if row.conflicts is None],
        'left_out': len(entries) - len(coded),
    }
    text = as_json({**content, 'sha256': _digest(content)})
    return text.encode('utf-8')


def _digest(content: Mapping[str, Any]) -> str:
    """SHA-256 of the content as JSON without blanks, keys in order of the alphabet."""
    text = json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(',', ':'))
    return hashlib.sha256(text.encode('utf-8')).hexdigest()


def _sheet(state: State, entry: EntryState) -> dict[str, Any]:
    now, owner = entry.now, state.senders.owner(entry.number)
    if owner is not None:
        (device, name), sender = owner
        sent = {'device': device, 'id': name, 'version': sender.version}
    else:
        name = f'{now.code} {short_digest(now.taster)}'
        sent = {'device': _BY_HAND, 'id': name, 'version': len(entry.versions)}
    return {
        'taster': now.taster,
        'code': now.code,
        'source': entry.recorded.origin,
        'marks': dict(now.marks),
        'terms': list(now.terms),
        'faults': list(now.faults),
        'families': list(now.families),
        'own_words': list(now.own_words),
        'finish_seconds': now.finish_seconds,
        'finish_band': now.finish_band,
        'remark': now.remark,
        'sent': sent,
    }


def _contradicting(row: RowHeld) -> dict[str, Any]:
    """A sheet that waits because another says otherwise; elsewhere it may be the first."""
    said = row.original
    lists = ('terms', 'faults', 'families', 'own_words')
    beside = {'taster', 'site', 'wine', 'position', 'code', 'pour', 'finish', 'remark', *lists}
    marks = {k: float(v) for k, v in said.items() if k not in {*beside, 'finish_band'}}
    return {
        'taster': said['taster'],
        'code': said['code'],
        'source': row.origin,
        'marks': marks,
        **{name: split_words(said.get(name, '')) for name in lists},
        'finish_seconds': float(said['finish']) if said.get('finish') else None,
        'finish_band': said.get('finish_band', ''),
        'remark': said.get('remark', ''),
        'sent': _sent_of(row),
    }


def _sent_of(row: RowHeld) -> dict[str, Any]:
    words = as_json(dict(row.original))
    sent = row.sent or Sent(_BY_HAND, f'held {short_digest(words)}', 1, '')
    return {'device': sent.device, 'id': sent.id, 'version': sent.version}


def _held(row: RowHeld) -> dict[str, Any]:
    return {
        'source': row.origin,
        'field': row.field,
        'found': row.found,
        'expected': row.expected,
        'original': dict(row.original) | {'wine': ''},
        'sent': _sent_of(row),
    }


def read_bundle(data: bytes, *, tasting: str, where: str) -> Bundle:
    """Read a bundle, and see that it is whole and of this tasting.

    Raises:
        InputError: it is cut off or altered, no bundle, of a later form, or another tasting's.
    """
    told = _content(data, where)
    _check_form(told, where)
    said = told.pop('sha256', None)
    if said != _digest(told):
        raise _broken("a bundle that is not as it was saved", where)
    try:
        content = _Bundle.model_validate({**told, 'sha256': said})
    except ValidationError as reason:
        raise _broken("a bundle with parts missing", where) from reason
    if content.tasting != tasting:
        raise InputError(
            f"a bundle of the tasting '{content.tasting}'",
            where=where,
            expected=f"a bundle of '{tasting}'",
            remedy="load it where that tasting is served",
        )
    return Bundle(content.site, content)


def _content(data: bytes, where: str) -> dict[str, Any]:
    try:
        text = _unpacked(data, where) if data[:2] == b'\x1f\x8b' else data
        told = json.loads(text)
    except (ValueError, RecursionError, EOFError, OSError, zlib.error) as reason:
        raise _broken("a file that is cut off, or no bundle", where) from reason
    if not isinstance(told, dict):
        raise _broken("no bundle of a site", where)
    return told


def _unpacked(data: bytes, where: str) -> bytes:
    unpacking = zlib.decompressobj(wbits=31)
    text = unpacking.decompress(data, MOST_BYTES)
    if unpacking.unconsumed_tail:
        raise _broken("a bundle of more than 64 MB when unpacked", where)
    if not unpacking.eof:
        raise EOFError
    return text


def packed(bundle: bytes) -> bytes:
    """The same in gzip; the same bytes each time."""
    return gzip.compress(bundle, mtime=0)


def _check_form(told: Mapping[str, Any], where: str) -> None:
    if told.get('format') != FORMAT:
        raise _broken("no bundle of a site", where)
    form = told.get('version')
    if isinstance(form, int) and form > VERSION:
        raise InputError(
            f"a bundle of form {form}, made by a later halfpoint",
            where=where,
            expected=f"form {VERSION}",
            remedy="update halfpoint here, then load it again",
        )


def _broken(found: str, where: str) -> InputError:
    return InputError(
        found,
        where=where,
        expected="the whole file as it was saved on the host's page",
        remedy="save the bundle again, and bring it over by another way; nothing was changed here",
    )


def sheets_in(bundle: Bundle, desk: Desk) -> list[SheetArrived]:
    """The sheets of a bundle, checked as if they came from a phone.

    Raises:
        InputError: it has sheets of tasters who do not sit at its site.
    """
    content = bundle.content
    _check_tasters(content, desk.poured)
    return [
        *(_arrived(each, content.site, desk) for each in content.entries),
        *_held_arrived(content.held, desk),
    ]


def _check_tasters(content: _Bundle, poured: Poured) -> None:
    seated = set(poured.seats.get(content.site, {}).values())
    sheets = (each.taster for each in content.entries)
    rows = (each.original.get('taster', '') for each in content.held)
    sites = {each.original.get('site', '') for each in content.held}
    strange = [t for t in (*sheets, *rows) if t not in seated and not _is_seat(t, content.site)]
    if content.site not in poured.behind or strange or sites - {'', content.site}:
        raise InputError(
            f"a bundle of {content.site} with sheets of others",
            where=f"bundle of {content.site}",
            expected="sheets of those who sit at that site, by the plan here",
            remedy="save the bundle again on the page of the site's host",
        )


def _is_seat(taster: str, site: str) -> bool:
    """Whether it is what a seat that is not in the plan is called there; or nobody at all."""
    number = taster.rpartition('-')[2]
    is_number = number.isascii() and number.isdecimal() and len(number) < 5
    return taster == '' or (is_number and taster == unlisted_taster(site, int(number)))


def _arrived(each: _Sheet, site: str, desk: Desk) -> SheetArrived:
    seat = Seat(site, each.taster)
    filled = Filled(
        each.sent.id,
        each.sent.version,
        each.code,
        each.marks,
        each.terms,
        each.own_words,
        each.families,
        each.faults,
        each.finish_seconds,
        each.remark,
        each.sent.written,
        finish_band=each.finish_band,
    )
    checked, row = check_filled(filled, seat, desk), as_row(filled, seat, desk)
    return SheetArrived(_sent(each.sent, checked.entry, row), checked, row, _source(each.source))


def _held_arrived(rows: Sequence[_Held], desk: Desk) -> Iterator[SheetArrived]:
    closed = () if desk.closed is None else (desk.closed,)
    for row in rows:
        complaint = Complaint(row.field, row.found, row.expected)
        sent = _sent(row.sent, None, row.original)
        checked = Checked(None, (complaint, *closed))
        yield SheetArrived(sent, checked, row.original, _source(row.source))


def _sent(said: _Sent, entry: Entry | None, row: Mapping[str, str]) -> Sent:
    says = short_digest(as_json(dict(row))) if entry is None else says_of(entry)
    return Sent(said.device, said.id, said.version, says, said.written)


def _source(source: str) -> str:
    return f"a bundle, {source}" if source and not source.startswith("a bundle") else source


@dataclass(frozen=True, slots=True)
class BundleTaken:
    """What became of a bundle: how many sheets are new, there already, and held."""

    new: int
    already: int
    held: tuple[tuple[SheetArrived, Answer], ...]


def counted(arrived: Sequence[SheetArrived], answers: Sequence[Answer]) -> BundleTaken:
    """How many of these sheets were new, and which are held."""
    pairs = list(zip(arrived, answers, strict=True))
    return BundleTaken(
        sum(answer.state == 'kept' for answer in answers),
        sum(answer.state == 'already' for answer in answers),
        tuple((a, answer) for a, answer in pairs if answer.state in {'held', 'conflict'}),
    )
