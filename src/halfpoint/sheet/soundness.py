"""What must hold between the keys of a score sheet, beyond the form of each alone."""

from __future__ import annotations

import math
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable
from dataclasses import fields
from fractions import Fraction
from typing import TYPE_CHECKING

from pydantic_core import PydanticCustomError

from halfpoint.sheet.entry import Entry
from halfpoint.sheet.words import did_you_mean, fold, say_number

if TYPE_CHECKING:
    from halfpoint.sheet.form import Category, Fault, FinishBand, Guidance, Sheet

# Part of a step that rounding may add or take: enough for single-precision tenths up to
# 100, and far below anything a person writes.
STEP_TOLERANCE = 1e-4
MOST_STEPS = 10_000
FRACTION = r'^[0-9]{1,4} ?/ ?[1-9][0-9]{0,3}$'
RESERVED = frozenset(field.name for field in fields(Entry))


def refusal(key: str, found: str, expected: str) -> PydanticCustomError:
    """An error that names the key inside the part it is raised for."""
    return PydanticCustomError(
        'unsound', '{found}', {'key': key, 'found': found, 'expected': expected}
    )


def read_fraction(value: object) -> object:
    """Let a step be written as `"1/3"`, which decimals cannot say."""
    if isinstance(value, str) and re.match(FRACTION, value):
        return float(Fraction(value.replace(' ', '')))
    return value


def read_term(value: object) -> object:
    """Let a term be written as its label alone; the key is made from it."""
    if not isinstance(value, str):
        return value
    plain = unicodedata.normalize('NFKD', fold(value)).encode('ascii', 'ignore').decode()
    return {'key': re.sub(r'[^a-z0-9]+', '-', plain).strip('-'), 'label': value}


def check_category(category: Category) -> None:
    """Raise unless the marks form a grid and the guidance covers it."""
    if category.key in RESERVED:
        raise refusal('key', f"'{category.key}'", "another key; this one names a column of entries")
    if not category.lowest < category.top:
        expected = f"more than the lowest mark, {say_number(category.lowest)}"
        raise refusal('top', say_number(category.top), expected)
    steps = (category.top - category.lowest) / category.step
    if steps > MOST_STEPS:
        raise refusal('step', say_number(category.step), f"at most {MOST_STEPS:,} steps in all")
    if round(steps) < 1 or abs(steps - round(steps)) > STEP_TOLERANCE:
        whole = say_number(category.top - category.lowest)
        expected = f"a step that divides {whole}, the distance from lowest to top"
        raise refusal('step', say_number(category.step), expected)
    if category.guidance:
        _check_guidance(category)


def _check_guidance(category: Category) -> None:
    slack = category.step * STEP_TOLERANCE
    reach = category.lowest - category.step
    for part in sorted(category.guidance, key=lambda part: part.low):
        if part.low > part.high:
            raise refusal('guidance', _span(part), "low no more than high")
        if part.low < category.lowest - slack or part.high > category.top + slack:
            raise refusal('guidance', _span(part), f"a range inside {_marks(category)}")
        if part.low > reach + category.step + slack:
            raise _gap(category, reach)
        reach = max(reach, part.high)
    if reach < category.top - slack:
        raise _gap(category, reach)


def _gap(category: Category, reach: float) -> PydanticCustomError:
    bare = say_number(reach + category.step)
    return refusal('guidance', f"no guidance for {bare}", f"guidance for all of {_marks(category)}")


def _span(part: Guidance) -> str:
    return f"{say_number(part.low)} to {say_number(part.high)}"


def _marks(category: Category) -> str:
    return f"{say_number(category.lowest)} to {say_number(category.top)}"


def check_sheet(sheet: Sheet) -> None:
    """Raise unless keys are unique, references resolve and finish bands are in order."""
    _once('category', (category.key for category in sheet.categories))
    _once('family', (family.key for family in sheet.families))
    _once('family', (term.key for family in sheet.families for term in family.terms), 'term ')
    _once('fault', (fault.key for fault in sheet.faults))
    for fault in sheet.faults:
        _check_fault(sheet, fault)
    for band in sheet.finish:
        _check_band(sheet, band)
    _check_order(sheet.finish)


def _once(table: str, keys: Iterable[str], kind: str = '') -> None:
    twice = [key for key, count in Counter(keys).items() if count > 1]
    if twice:
        raise refusal(table, f"{kind}'{twice[0]}' more than once", "each key once")


def _check_fault(sheet: Sheet, fault: Fault) -> None:
    where = f"fault '{fault.key}'"
    low, top = sheet.lowest, sheet.top
    if fault.category is not None:
        category = _referred(sheet, where, fault.category)
        low, top = category.lowest, category.top
    if fault.ceiling is not None and not low <= fault.ceiling <= top:
        expected = f"a ceiling from {say_number(low)} to {say_number(top)}"
        raise refusal('fault', f"{where} with ceiling {say_number(fault.ceiling)}", expected)


def _check_band(sheet: Sheet, band: FinishBand) -> None:
    where = f"'{band.label}'"
    if band.to_seconds is not None and band.to_seconds <= band.from_seconds:
        found = f"{where} to {say_number(band.to_seconds)} s"
        raise refusal('finish', found, f"more than {say_number(band.from_seconds)} s")
    usual = [mark for mark in (band.usual_low, band.usual_high) if mark is not None]
    if band.category is None:
        if usual:
            raise refusal('finish', f"{where} with usual marks", "the category they belong to")
        return
    category = _referred(sheet, where, band.category)
    if usual != sorted(usual):
        raise refusal('finish', f"{where} with usual_low above usual_high", "low before high")
    if any(not category.lowest <= mark <= category.top for mark in usual):
        found = f"{where} with usual marks outside the category"
        raise refusal('finish', found, f"marks from {_marks(category)}")


def _check_order(bands: tuple[FinishBand, ...]) -> None:
    end = 0.0
    for band in bands:
        if band.from_seconds < end:
            expected = "bands from short to long, none overlapping, at most the last without an end"
            raise refusal(
                'finish', f"'{band.label}' from {say_number(band.from_seconds)} s", expected
            )
        end = math.inf if band.to_seconds is None else band.to_seconds


def _referred(sheet: Sheet, where: str, key: str) -> Category:
    found = next((category for category in sheet.categories if category.key == key), None)
    if found is None:
        known = [category.key for category in sheet.categories]
        expected = f"one of {', '.join(known)}{did_you_mean(key, known)}"
        raise refusal('category', f"{where} refers to '{key}'", expected)
    return found


def in_band(band: FinishBand, seconds: float) -> bool:
    """Whether a finish of so many seconds belongs to the band."""
    return band.from_seconds <= seconds and (band.to_seconds is None or seconds <= band.to_seconds)
