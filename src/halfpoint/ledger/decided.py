"""Whether a decision is one that can be, and what it changes on an entry that is there."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from halfpoint.collect.paper.read.model import BAND, CODE, FAMILY, FAULT, SEAT, TERM, TOTAL
from halfpoint.collect.table.poured import Poured
from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.changes import changed, check_pour_is_free
from halfpoint.ledger.from_paper import likely_code, seated, taster_of
from halfpoint.ledger.paper import BOXES, WHOLE_PAGE, Asked, PageState
from halfpoint.ledger.pen import Pen
from halfpoint.ledger.records import Corrected, Value
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.validity import MarkFault, expected_mark, mark_fault, total_faults
from halfpoint.sheet.words import did_you_mean, say_number
from halfpoint.tasting.model import Tasting


def decided_value(
    tasting: Tasting, poured: Poured, page: PageState, asked: Asked, value: Value
) -> Value:
    """The value as it is recorded.

    Raises:
        UsageError: it is none that the sheet, or the plan, allows there.
        NotInLedger: there is no such block, field or box on the page.
    """
    _refuse_nowhere(tasting.sheet, page, asked)
    where = _where(page, asked)
    if asked.field == SEAT:
        return None if value is None else _seat(tasting, poured, page, _text(value), where)
    if asked.field == CODE:
        return None if value is None else _code(poured, page, _text(value), where)
    number = _number(value, where)
    if asked.field in BOXES:
        if number not in (0.0, 1.0):
            raise UsageError(_said(value), where=where, expected="1 when ticked, 0 when not")
    elif asked.field != TOTAL and number is not None:
        category = tasting.sheet.category(asked.field)
        if mark_fault(number, category) is not MarkFault.NONE:
            raise UsageError(_said(value), where=where, expected=expected_mark(category))
    return number


def corrected_by(
    pen: Pen, page: PageState, asked: Asked, value: Value, why: str = ''
) -> list[Corrected]:
    """The corrections that a decision makes to entries that are there already.

    Raises:
        UsageError: the entry cannot be without what is decided away, or takes another's pour.
    """
    places = page.entries if asked.place == WHOLE_PAGE else {asked.place} & page.entries.keys()
    found = []
    for place in sorted(places):
        number = page.entries[place]
        before = pen.state.entries[number].now
        changes = changes_by(pen, page, before, asked, value)
        after = changed(pen.tasting.sheet, before, changes, f"entry {number}")
        if after != before:
            check_pour_is_free(pen.state, number, after)
            said = f"looked at on {page.page.file}, page {page.page.page}"
            found.append(Corrected(number, after, why or said))
    return found


def changes_by(
    pen: Pen, page: PageState, before: Entry, asked: Asked, value: Value
) -> dict[str, Any]:
    """What a decided value changes on an entry, by field as for `correct`.

    Raises:
        UsageError: the entry cannot be without what is decided away.
    """
    field, about = asked.field, asked.about
    if field == TOTAL:
        _refuse_other_total(before, asked, value)
        return {}
    if value is None:
        raise UsageError(
            "nothing, where an entry was made already",
            where=_where(page, asked),
            expected="what stands there",
            remedy="when the entry is not to count, halfpoint set-aside it",
        )
    if field == SEAT:
        taster = seated(pen.poured, page.page.site, str(value))
        return _with_place(pen.poured, page, before.code or '', taster)
    if field == CODE:
        behind = pen.poured.at(page.page.site, str(value))
        pour = {} if behind is None else {'wine': behind.wine, 'pour': behind.pour or ''}
        return pour | _with_place(pen.poured, page, str(value), taster_of(pen.poured, page))
    if field == BAND:
        others = '' if before.finish_band == about else before.finish_band
        return {'finish_band': about if value else others}
    if field in BOXES:
        name = {TERM: 'terms', FAMILY: 'families', FAULT: 'faults'}[field]
        kept = tuple(key for key in getattr(before, name) if key != about)
        return {name: (*kept, about) if value else kept}
    return {field: value}


def _with_place(poured: Poured, page: PageState, code: str, taster: str) -> dict[str, Any]:
    place = poured.places.get((page.page.site, taster), {}).get(code)
    return {'taster': taster, 'code': code, 'position': place}


def _refuse_other_total(before: Entry, asked: Asked, value: Value) -> None:
    if value is not None and total_faults(np.array(before.total), np.array(value)).any():
        raise UsageError(
            _said(value),
            where=f"record {asked.page}, block {asked.place}, total",
            expected=f"{say_number(before.total)}, the sum of the marks",
            remedy="decide first on the mark that is not what was read",
        )


def _refuse_nowhere(sheet: Sheet, page: PageState, asked: Asked) -> None:
    if asked.place == WHOLE_PAGE:
        found = asked.field == SEAT and page.page.is_spare
    else:
        boxes = {
            TERM: sheet.terms_by_key,
            FAMILY: {family.key for family in sheet.families},
            FAULT: sheet.faults_by_key,
            BAND: {band.label for band in sheet.finish},
        }
        fields = {*sheet.categories_by_key, TOTAL, *([CODE] if page.page.is_spare else [])}
        there = page.reading(asked.place) is not None
        in_field = asked.field in fields and not asked.about
        found = there and (in_field or asked.about in boxes.get(asked.field, ()))
    if not found:
        raise NotInLedger(
            f"{asked.field} {asked.about}".strip(),
            where=_where(page, asked),
            expected="a category, box or number that this page has",
        )


def _where(page: PageState, asked: Asked) -> str:
    block = f", block {asked.place}" if asked.place else ""
    return f"{page.page.file}, page {page.page.page}{block}, {asked.field}"


def _seat(tasting: Tasting, poured: Poured, page: PageState, said: str, where: str) -> str:
    site, text = page.page.site, said
    seats = poured.seats.get(site, {})
    if text.isascii() and text.isdecimal():
        if int(text) in seats:
            return str(int(text))
        expected = f"a seat of {site}, {min(seats)} to {max(seats)}" if seats else "a seat"
        raise UsageError(f"seat {text}", where=where, expected=expected)
    taster = tasting.find_taster(text)
    if taster is not None:
        return taster.key
    if text and not tasting.tasters:
        return text
    names = [name for each in tasting.tasters for name in (each.key, each.name) if name]
    raise UsageError(
        f"'{text}'",
        where=where,
        expected=f"the number of a seat, or a taster of this tasting{did_you_mean(text, names)}",
    )


def _code(poured: Poured, page: PageState, said: str, where: str) -> str:
    site, code = page.page.site, said
    if poured.at(site, code) is None:
        expected = likely_code(poured, site, code, taster_of(poured, page))
        raise UsageError(f"'{code}'", where=where, expected=expected)
    return code


def _text(value: float | str) -> str:
    return value.strip() if isinstance(value, str) else f'{value:g}'


def _number(value: Value, where: str) -> float | None:
    if value is None:
        return None
    try:
        number = float(value)
    except ValueError:
        number = math.nan
    if math.isfinite(number):
        return number
    raise UsageError(_said(value), where=where, expected="a number")


def _said(value: Value) -> str:
    if value is None:
        return "nothing"
    return f"'{value}'" if isinstance(value, str) else say_number(value)
