"""A sheet as it was filled in on a phone, held against the plan and the score sheet."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from halfpoint.collect.phone.text import as_text, is_text
from halfpoint.collect.table.poured import Behind, Poured
from halfpoint.sheet.entry import Complaint, Entry
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.validity import check_entry
from halfpoint.sheet.words import fold, join_words
from halfpoint.tasting.model import Tasting

LONGEST_REMARK = 10_000


@dataclass(frozen=True, slots=True)
class Filled:
    """One pour as the app has it; `written` is by the clock of the device."""

    id: str
    version: int
    code: str
    marks: Mapping[str, float | None]
    terms: tuple[str, ...] = ()
    own_words: tuple[str, ...] = ()
    families: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    finish_seconds: float | None = None
    remark: str = ''
    written: str = ''
    complete: bool = True
    finish_band: str = ''


@dataclass(frozen=True, slots=True)
class Seat:
    """Whose sheet it is: the site, and the taster as the record calls them.

    `order_of` is the taster whose serving order is poured here, for a seat not in the plan.
    """

    site: str
    taster: str
    order_of: str = ''


@dataclass(frozen=True, slots=True)
class Desk:
    """What a sheet is held against: the tasting, and what was poured where.

    `closed` is what is said to every sheet outside the days of the tasting, None within them.
    """

    tasting: Tasting
    poured: Poured
    closed: Complaint | None = None


@dataclass(frozen=True, slots=True)
class Checked:
    """What a filled sheet comes to: acceptable when there are no complaints.

    `entry` is there too when all that is against it is when it came.
    """

    entry: Entry | None
    complaints: tuple[Complaint, ...] = ()


def check_filled(filled: Filled, seat: Seat, desk: Desk) -> Checked:
    """The entry that a filled sheet makes, or everything that keeps it from being one.

    An aroma word that the sheet does not have (any more) is kept as one of the taster's own.
    No message names the wine behind a code.
    """
    unreadable = tuple(_about_text(filled))
    if unreadable:
        return Checked(None, unreadable)
    complaints: list[Complaint] = []
    behind, places = _behind(filled.code, seat, desk)
    if behind is None:
        complaints.append(_not_poured(filled.code, seat, desk))
    if len(filled.remark) > LONGEST_REMARK:
        found = f"a remark of {len(filled.remark):,} letters"
        complaints.append(Complaint('remark', found, f"at most {LONGEST_REMARK:,} letters"))
    checked = _checked(filled, seat, desk, behind, places)
    if isinstance(checked, tuple):
        complaints += map(_unfinished, checked) if not filled.complete else checked
    entry = checked if isinstance(checked, Entry) and not complaints else None
    closed = () if desk.closed is None else (desk.closed,)
    return Checked(entry, (*complaints, *closed))


def _checked(
    filled: Filled, seat: Seat, desk: Desk, behind: Behind | None, places: Mapping[str, int]
) -> Entry | tuple[Complaint, ...]:
    sheet = desk.tasting.sheet
    terms, families, own = _known_words(filled, sheet)
    return check_entry(
        sheet,
        taster=seat.taster,
        # What is not known is complained of in words of its own.
        wine=behind.wine if behind else '?',
        marks=filled.marks,
        site=seat.site if desk.tasting.sites else None,
        position=places.get(filled.code),
        code=filled.code,
        terms=terms,
        faults=filled.faults,
        finish_seconds=filled.finish_seconds,
        remark=filled.remark.strip(),
        pour=behind.pour if behind else None,
        families=families,
        own_words=own,
        finish_band=filled.finish_band,
    )


def _behind(code: str, seat: Seat, desk: Desk) -> tuple[Behind | None, Mapping[str, int]]:
    """What was poured under a code at this seat; a seat that was added has what its site has."""
    places = _places(seat, desk)
    if places and code not in places:
        return None, places
    return desk.poured.at(seat.site, code), places


def _not_poured(code: str, seat: Seat, desk: Desk) -> Complaint:
    found = f"'{as_text(code)[:40]}'" if code else "nothing"
    likely = desk.poured.likely(seat.site, code, taster=seat.taster) if code else None
    return Complaint(
        'code', found, f"a code poured at this seat{f'; likely {likely[0]}' if likely else ''}"
    )


def _known_words(filled: Filled, sheet: Sheet) -> tuple[list[str], list[str], tuple[str, ...]]:
    terms = [word for word in filled.terms if fold(word) in sheet.term_keys]
    families = [word for word in filled.families if fold(word) in sheet.family_keys]
    strange = (
        *(word for word in filled.terms if fold(word) not in sheet.term_keys),
        *(word for word in filled.families if fold(word) not in sheet.family_keys),
    )
    return terms, families, (*strange, *filled.own_words)


def _about_text(filled: Filled) -> Iterator[Complaint]:
    texts: Mapping[str, tuple[str, ...]] = {
        'code': (filled.code,),
        'marks': tuple(filled.marks),
        'remark': (filled.remark,),
        'own_words': filled.own_words,
        'terms': filled.terms,
        'families': filled.families,
        'faults': filled.faults,
    }
    for name, several in texts.items():
        if not all(map(is_text, several)):
            expected = "letters of any script, numbers, signs and emoji"
            yield Complaint(name, "a character that is no text", expected)


def _unfinished(complaint: Complaint) -> Complaint:
    """What is said of a sheet that the taster has not finished."""
    if complaint.found != "nothing":
        return complaint
    found = "nothing yet: this pour is not finished"
    return Complaint(complaint.field, found, complaint.expected)


def _places(seat: Seat, desk: Desk) -> Mapping[str, int]:
    return desk.poured.places.get((seat.site, seat.order_of or seat.taster), {})


def as_row(filled: Filled, seat: Seat, desk: Desk) -> dict[str, str]:
    """What was sent, as the row of a table that can be mended and read in."""
    marks = {as_text(key): _number(mark) for key, mark in filled.marks.items()}
    places = _places(seat, desk)
    row = {
        'taster': seat.taster,
        'site': seat.site if desk.tasting.sites else '',
        'wine': '',
        'position': str(places.get(filled.code, '')),
        'code': filled.code,
        'pour': '',
        **dict.fromkeys(desk.tasting.sheet.categories_by_key, ''),
        **marks,
        'terms': join_words(filled.terms),
        'faults': join_words(filled.faults),
        'finish': _number(filled.finish_seconds),
        'remark': filled.remark,
        'families': join_words(filled.families),
        'finish_band': filled.finish_band,
        'own_words': join_words(filled.own_words),
    }
    also = {'families', 'finish_band', 'own_words'}
    return {name: as_text(text) for name, text in row.items() if text or name not in also}


def _number(value: float | None) -> str:
    return '' if value is None else f'{value:.15g}'


def device_name(device: str, seat: Seat) -> str:
    """Short for a device at a seat: what it calls itself cannot be found again from this.

    The first 16 hexadecimal digits of the SHA-256 of device, site and taster as a JSON list.
    """
    named = json.dumps([device, seat.site, seat.taster])
    return hashlib.sha256(named.encode('utf-8')).hexdigest()[:16]
