"""A line that says what was read wrongly: `2 aroma 4.5`, `3 corked yes`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from halfpoint.cli._answers import NO, YES, Unclear
from halfpoint.sheet.words import did_you_mean, fold

if TYPE_CHECKING:
    from halfpoint.sheet.form import Sheet

AS_IN = "the glass on the page, the line or box, and what stands there: 2 aroma 4.5, 3 corked yes"


@dataclass(frozen=True, slots=True)
class Wrong:
    """What stands in a block; `field` and `about` as in `Look`."""

    place: int
    field: str
    about: str
    truth: float | None


def read_wrong(line: str, *, places: Sequence[int], sheet: Sheet) -> Wrong | Unclear:
    """What a line says, or what would have been understood.

    Args:
        line: as typed.
        places: the blocks that the page has.
        sheet: the score sheet.
    """
    number, *words = fold(line).split()
    if not number.isdecimal() or len(words) < 2:
        return Unclear(AS_IN)
    if int(number) not in places:
        return Unclear(f"a glass of the page, {min(places)} to {max(places)}")
    names = dict(_names(sheet))
    for at in range(len(words) - 1, 0, -1):
        named = _named(' '.join(words[:at]), names)
        if named is not None:
            field, about = named
            return _with_value(int(number), field, about, ' '.join(words[at:]), sheet)
    return Unclear(f"{AS_IN}{did_you_mean(' '.join(words[:-1]), names)}")


def _with_value(place: int, field: str, about: str, said: str, sheet: Sheet) -> Wrong | Unclear:
    from halfpoint.collect.table.marktext import is_missing, read_mark
    from halfpoint.sheet.validity import MarkFault, expected_mark, mark_fault

    if about:
        if said in YES | NO:
            return Wrong(place, field, about, float(said in YES))
        return Unclear("yes when it is ticked, no when it is not")
    mark, category = read_mark(said), sheet.category(field)
    if is_missing(said) or (mark is not None and mark_fault(mark, category) is MarkFault.NONE):
        return Wrong(place, field, '', mark)
    return Unclear(f"{expected_mark(category)}, or - for nothing marked")


def _named(said: str, names: dict[str, tuple[str, str]]) -> tuple[str, str] | None:
    """The one name that was meant, whole or by its first letters."""
    if said in names:
        return names[said]
    found = {names[name] for name in names if name.startswith(said)}
    return found.pop() if len(found) == 1 else None


def _names(sheet: Sheet) -> Iterator[tuple[str, tuple[str, str]]]:
    """Everything that can be named; of equal names the last one holds, so categories come last."""
    for band in sheet.finish:
        yield fold(band.label), ('band', band.label)
    for key, term in sheet.terms_by_key.items():
        yield from ((fold(name), ('term', key)) for name in (term.label, key))
    for family in sheet.families:
        yield from ((fold(name), ('family', family.key)) for name in (family.label, family.key))
    for key, fault in sheet.faults_by_key.items():
        yield from ((fold(name), ('fault', key)) for name in (fault.label, key))
    for category in sheet.categories:
        yield from ((fold(name), (category.key, '')) for name in (category.label, category.key))
