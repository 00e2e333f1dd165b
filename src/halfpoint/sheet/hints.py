"""Contradictions on a sheet that are worth a second look.

Everything here is read from the score sheet, so a sheet without faults, finish bands or
terms raises no such hints. A hint never changes or refuses a mark.
"""

from __future__ import annotations

from collections.abc import Iterator

from halfpoint.sheet.entry import Entry, Hint
from halfpoint.sheet.form import FinishBand, Sheet
from halfpoint.sheet.soundness import STEP_TOLERANCE
from halfpoint.sheet.words import say_number


def hints(sheet: Sheet, entry: Entry) -> tuple[Hint, ...]:
    """What on this entry may need a look, in the order of the sheet.

    Args:
        sheet: the score sheet the entry was checked against.
        entry: an accepted entry.
    """
    return (
        *_faults(sheet, entry),
        *_terms(sheet, entry),
        *_finish(sheet, entry),
        *_extremes(sheet, entry),
    )


def _faults(sheet: Sheet, entry: Entry) -> Iterator[Hint]:
    """A fault is ticked, and yet the mark is above what usually goes with it."""
    for key in entry.faults:
        fault = sheet.faults_by_key[key]
        where, label, mark = 'total', "the total", entry.total
        if fault.category is not None:
            where = fault.category
            label, mark = sheet.category(where).label.lower(), entry.marks[where]
        if fault.ceiling is not None and mark > fault.ceiling + STEP_TOLERANCE:
            message = (
                f"{fault.label} is ticked, and {label} has {say_number(mark)}; "
                f"with it, {say_number(fault.ceiling)} or less is usual."
            )
            yield Hint(where, message, ('faults', key))


def _terms(sheet: Sheet, entry: Entry) -> Iterator[Hint]:
    """Some terms are ticked, and yet fewer than usually go with the mark.

    A family ticked as a whole counts as one term where none of its own words is ticked.
    """
    ticked = len(entry.terms) + _families_alone(sheet, entry)
    if not ticked:
        return
    for key, category in sheet.categories_by_key.items():
        guidance = category.guidance_for(entry.marks[key])
        fewest = guidance.fewest_terms if guidance else None
        if fewest is not None and ticked < fewest:
            message = (
                f"{category.label} has {say_number(entry.marks[key])}, and {ticked} "
                f"of the aroma terms is ticked; with that mark, {fewest} or more are usual."
            )
            yield Hint(key, message, ('terms',))


def _families_alone(sheet: Sheet, entry: Entry) -> int:
    ticked = (family for family in sheet.families if family.key in entry.families)
    return sum(not {term.key for term in family.terms} & set(entry.terms) for family in ticked)


def _finish(sheet: Sheet, entry: Entry) -> Iterator[Hint]:
    """The finish was timed or ticked in one band, and the mark goes with another.

    A mark outside every band says that the finish was not pleasant, which contradicts
    nothing.
    """
    found, said = _band_of(sheet, entry)
    if found is None or found.category is None or _usual(found, entry):
        return
    others = [band for band in sheet.finish if band.category == found.category]
    fitting = [band.label for band in others if _usual(band, entry)]
    if fitting:
        category = sheet.category(found.category)
        message = (
            f"The finish was {said}, and {category.label.lower()} has "
            f"{say_number(entry.marks[category.key])}, which usually goes with a "
            f"{' or '.join(fitting)} one."
        )
        about = 'finish_band' if entry.finish_seconds is None else 'finish_seconds'
        yield Hint(category.key, message, (about,))


def _band_of(sheet: Sheet, entry: Entry) -> tuple[FinishBand | None, str]:
    """The band of the finish, and how that is known: by the clock, else as ticked."""
    if entry.finish_seconds is not None:
        timed = sheet.finish_band(entry.finish_seconds)
        label = timed.label if timed else ''
        return timed, f"timed at {say_number(entry.finish_seconds)} s, which is {label}"
    ticked = next((band for band in sheet.finish if band.label == entry.finish_band), None)
    return ticked, f"ticked as {entry.finish_band}"


def _usual(band: FinishBand, entry: Entry) -> bool:
    mark = entry.marks[band.category] if band.category else 0.0
    above = band.usual_low is None or mark >= band.usual_low - STEP_TOLERANCE
    return above and (band.usual_high is None or mark <= band.usual_high + STEP_TOLERANCE)


def _extremes(sheet: Sheet, entry: Entry) -> Iterator[Hint]:
    """Every category at its top, or every one at its lowest."""
    if len(sheet.categories) < 2:
        return
    total = say_number(entry.total)
    if abs(entry.total - sheet.top) < STEP_TOLERANCE:
        yield Hint('total', f"{total}, the highest the sheet allows, in every category.")
    if abs(entry.total - sheet.lowest) < STEP_TOLERANCE:
        yield Hint('total', f"{total}, the lowest the sheet allows: was this pour tasted?")
