"""The one validity check, used by every way an entry can come in.

The rule for marks is written for whole columns (`mark_faults`, `total_of`,
`total_faults`) and for one mark (`mark_fault`); `check_entry` makes an `Entry` or says
why not.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from halfpoint.sheet.entry import Complaint, Entry
from halfpoint.sheet.form import Category, Sheet
from halfpoint.sheet.soundness import STEP_TOLERANCE
from halfpoint.sheet.words import did_you_mean, fold, say_number, say_step

# Totals are written with two decimals at most, so that much rounding is no mistake.
TOTAL_TOLERANCE = 0.005 + 1e-9
# Ten minutes: common practice, no source; past it a clock was left running.
LONGEST_FINISH = 600.0
# More than anybody writes beside a glass, and no more than a page can show.
MOST_OWN_WORDS = 40
LONGEST_OWN_WORD = 60


class MarkFault(IntEnum):
    """What is wrong with a mark, in the order of looking."""

    NONE = 0
    MISSING = 1
    NOT_FINITE = 2
    OUT_OF_RANGE = 3
    OFF_STEP = 4


def mark_faults(values: NDArray[np.float64], category: Category) -> NDArray[np.int8]:
    """The `MarkFault` of each mark of one category.

    Args:
        values: marks, any shape; NaN where none was given.
        category: the category they were given in.

    Returns:
        Codes of `MarkFault`, same shape, 0 where the mark stands.
    """
    values = np.asarray(values, dtype=np.float64)
    slack = category.step * STEP_TOLERANCE
    with np.errstate(invalid='ignore', over='ignore'):
        steps = (values - category.lowest) / category.step
        off_step = np.abs(steps - np.rint(steps)) > STEP_TOLERANCE
        outside = (values < category.lowest - slack) | (values > category.top + slack)
    kinds = [
        (np.isnan(values), MarkFault.MISSING),
        (np.isinf(values), MarkFault.NOT_FINITE),
        (outside, MarkFault.OUT_OF_RANGE),
        (off_step, MarkFault.OFF_STEP),
    ]
    return np.select(
        [where for where, _ in kinds], [np.int8(kind) for _, kind in kinds], np.int8(0)
    )


def mark_fault(value: float | None, category: Category) -> MarkFault:
    """The same rule as `mark_faults`, for one mark."""
    if value is None or math.isnan(value):
        return MarkFault.MISSING
    if math.isinf(value):
        return MarkFault.NOT_FINITE
    slack = category.step * STEP_TOLERANCE
    if value < category.lowest - slack or value > category.top + slack:
        return MarkFault.OUT_OF_RANGE
    steps = (value - category.lowest) / category.step
    if abs(steps - round(steps)) > STEP_TOLERANCE:
        return MarkFault.OFF_STEP
    return MarkFault.NONE


def expected_mark(category: Category) -> str:
    """The marks a category takes, in words: `0 to 6 in half points`."""
    span = f"{say_number(category.lowest)} to {say_number(category.top)}"
    return f"{span} in {say_step(category.step)}"


def total_of(sheet: Sheet, columns: Mapping[str, NDArray[np.float64]]) -> NDArray[np.float64]:
    """The weighted sum of the categories, row by row.

    Args:
        sheet: the score sheet.
        columns: category key to marks, all of one shape; every category of the sheet.

    Returns:
        Totals, same shape; NaN where any mark is missing.

    Raises:
        KeyError: a category of the sheet is not among the columns.
    """
    first, *others = sheet.categories
    total: NDArray[np.float64] = np.asarray(columns[first.key], dtype=np.float64) * first.weight
    for category in others:
        total = total + np.asarray(columns[category.key], dtype=np.float64) * category.weight
    return total


def total_faults(total: NDArray[np.float64], written: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Where a written total is not the sum; never where either is NaN."""
    with np.errstate(invalid='ignore'):
        return np.asarray(np.abs(total - written) > TOTAL_TOLERANCE, dtype=np.bool_)


def check_entry(
    sheet: Sheet,
    *,
    taster: str,
    wine: str,
    marks: Mapping[str, float | None],
    written_total: float | None = None,
    site: str | None = None,
    position: int | None = None,
    code: str | None = None,
    terms: Iterable[str] = (),
    faults: Iterable[str] = (),
    finish_seconds: float | None = None,
    remark: str = '',
    pour: str | None = None,
    families: Iterable[str] = (),
    finish_band: str = '',
    own_words: Iterable[str] = (),
) -> Entry | tuple[Complaint, ...]:
    """Make an entry, or say everything that keeps it from being one.

    Args:
        sheet: the score sheet of the tasting.
        taster: key of the taster.
        wine: key of the wine.
        marks: category key to mark; None or NaN where none was given.
        written_total: the total the taster wrote; None or NaN where none was.
        site: key of the site.
        position: place in the serving order, from 1.
        code: the blind code on the sheet.
        terms: aroma terms ticked, by key or label.
        faults: faults ticked, by key or label.
        finish_seconds: seconds for which pleasant flavour lasted.
        remark: what the taster wrote.
        pour: which of several pours of this wine, where code and position do not tell.
        families: aroma families ticked as a whole, by key or label.
        finish_band: the finish band ticked, by label; '' for none.
        own_words: aroma words of the taster's own; one that is on the sheet is taken as ticked.

    Returns:
        The entry with terms, faults and families by key, or all complaints.
    """
    own, known = _own_words(own_words, sheet)
    terms, faults, families = (*terms, *known), tuple(faults), tuple(families)
    bands = (finish_band,) if finish_band.strip() else ()
    complaints = [
        *_name_complaints(taster=taster, wine=wine),
        *_mark_complaints(sheet, marks),
        *_word_complaints('terms', terms, sheet.term_keys),
        *_word_complaints('faults', faults, sheet.fault_keys),
        *_word_complaints('families', families, sheet.family_keys),
        *_own_complaints(own),
        *_finish_complaints(finish_seconds),
        *_word_complaints('finish_band', bands, sheet.band_labels),
        *_position_complaints(position),
    ]
    total = _total(sheet, marks)
    complaints.extend(_total_complaints(total, written_total))
    if complaints:
        return tuple(complaints)
    return Entry(
        taster=taster.strip(),
        wine=wine.strip(),
        marks={key: _number(marks[key]) for key in sheet.categories_by_key},
        total=total,
        site=(site or '').strip() or None,
        position=position,
        code=(code or '').strip() or None,
        terms=_keys(terms, sheet.term_keys),
        faults=_keys(faults, sheet.fault_keys),
        finish_seconds=finish_seconds,
        remark=remark,
        pour=(pour or '').strip() or None,
        families=_keys(families, sheet.family_keys),
        finish_band=''.join(_keys(bands, sheet.band_labels)),
        own_words=own,
    )


def _name_complaints(**names: str) -> Iterator[Complaint]:
    for field, name in names.items():
        if not name.strip():
            yield Complaint(field, "nothing", f"which {field} this is")


def _mark_complaints(sheet: Sheet, marks: Mapping[str, float | None]) -> Iterator[Complaint]:
    known = sheet.categories_by_key
    for key, category in known.items():
        mark = marks.get(key)
        if mark_fault(mark, category) is not MarkFault.NONE:
            yield Complaint(key, _said(mark), expected_mark(category))
    for key in sorted(marks.keys() - known.keys()):
        expected = f"one of {', '.join(known)}{did_you_mean(key, known)}"
        yield Complaint(key or 'marks', "a category this sheet does not have", expected)


# What is said for a field whose name is none to say.
SPOKEN = {'families': "aroma families", 'finish_band': "finish bands"}


def _word_complaints(
    field: str, words: Iterable[str], known: Mapping[str, str]
) -> Iterator[Complaint]:
    for word in words:
        if fold(word) not in known:
            words = SPOKEN.get(field, field)
            expected = f"one of this sheet's {words}{did_you_mean(word, known.values())}"
            yield Complaint(field, f"'{word}'", expected)


def _own_words(words: Iterable[str], sheet: Sheet) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The taster's own words, each once, and those among them that are on the sheet."""
    tidy = {fold(word): ' '.join(word.split()) for word in reversed(tuple(words)) if word.strip()}
    told = dict(reversed(tidy.items()))
    own = (word for folded, word in told.items() if folded not in sheet.term_keys)
    return tuple(own), tuple(folded for folded in told if folded in sheet.term_keys)


def _own_complaints(words: tuple[str, ...]) -> Iterator[Complaint]:
    if len(words) > MOST_OWN_WORDS:
        yield Complaint('own_words', f"{len(words)} words", f"{MOST_OWN_WORDS} at most")
    for word in words:
        if len(word) > LONGEST_OWN_WORD:
            expected = f"{LONGEST_OWN_WORD} letters at most; a remark may be longer"
            yield Complaint('own_words', f"a word of {len(word)} letters", expected)


def _finish_complaints(seconds: float | None) -> Iterator[Complaint]:
    if seconds is not None and not 0 <= seconds <= LONGEST_FINISH:
        yield Complaint('finish_seconds', _said(seconds), f"0 to {LONGEST_FINISH:g} seconds")


def _position_complaints(position: int | None) -> Iterator[Complaint]:
    if position is not None and position < 1:
        yield Complaint('position', str(position), "1 for the first pour, then 2, 3 and so on")


def _total_complaints(total: float, written: float | None) -> Iterator[Complaint]:
    if written is not None and abs(total - written) > TOTAL_TOLERANCE:
        yield Complaint('total', _said(written), f"{say_number(total)}, the sum of the marks")


def _total(sheet: Sheet, marks: Mapping[str, float | None]) -> float:
    first, *others = sheet.categories
    total = _number(marks.get(first.key)) * first.weight
    for category in others:
        total = total + _number(marks.get(category.key)) * category.weight
    return total


def _keys(words: Iterable[str], known: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(known[fold(word)] for word in words))


def _number(mark: float | None) -> float:
    return math.nan if mark is None else float(mark)


def _said(mark: float | None) -> str:
    if mark is None or math.isnan(mark):
        return "nothing"
    return say_number(mark)
