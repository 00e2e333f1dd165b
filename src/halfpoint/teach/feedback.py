"""What a learner is told after each wine."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt

from halfpoint.publish.numbers import number
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.words import say_number
from halfpoint.teach.calibration import Known
from halfpoint.teach.reference import TOTAL, KnownTerm, Reference

REACH = 1.96
POUR_AGAIN = (
    "Kept. Pour it again another time without knowing which it is: that shows how steadily you "
    "mark."
)


@dataclass(frozen=True, slots=True)
class Beside:
    """The learner's mark beside the panel's.

    `low` to `high` is where the panel's mark for this very bottle lies 95 times in 100; `gap` the
    learner's mark less `panel`, times the weight of the category in the total.
    """

    key: str
    label: str
    own: float
    panel: float
    low: float
    high: float
    gap: float

    @property
    def within(self) -> bool:
        """Whether the learner's mark is where the panel's may be."""
        return self.low <= self.own <= self.high


@dataclass(frozen=True, slots=True)
class WineFeedback:
    """One wine: the total beside the panel's, the categories, the aromas, and it in words.

    `total` is None where there is no reference. `driver` is the category that makes most of the
    gap, None where the gap is small or no category stands out.
    """

    wine: str
    total: Beside | None
    categories: tuple[Beside, ...]
    driver: Beside | None
    shared: tuple[str, ...]
    missed: tuple[str, ...]
    own_alone: tuple[str, ...]
    sentences: tuple[str, ...]


def feed_back(entry: Entry, sheet: Sheet, reference: Reference | None) -> WineFeedback:
    """What to say of one entry, from the reference where it has this wine."""
    if reference is None or entry.wine not in reference.wines:
        return _alone(entry, reference)
    at = reference.wines.index(entry.wine)
    beside = {key: _beside(key, entry, sheet, known, at) for key, known in reference.marks.items()}
    total = beside.pop(TOTAL, None)
    categories = tuple(beside[each.key] for each in sheet.categories if each.key in beside)
    driver = _driver(total, categories, sheet)
    known_terms = reference.terms.get(entry.wine)
    shared, missed, alone = ((), (), ()) if known_terms is None else _aromas(entry, known_terms)
    labels = {key: term.label for key, term in sheet.terms_by_key.items()}
    shared, missed, alone = (tuple(labels[key] for key in keys) for keys in (shared, missed, alone))
    sentences = (
        *_say_total(total),
        *_say_driver(total, driver),
        *_say_aromas(shared, missed, alone, ticked=bool(entry.terms)),
        *_say_faults(tuple(sheet.faults_by_key[key].label.lower() for key in entry.faults)),
    )
    return WineFeedback(entry.wine, total, categories, driver, shared, missed, alone, sentences)


def _alone(entry: Entry, reference: Reference | None) -> WineFeedback:
    why = (
        "There is no panel to compare with in this practice"
        if reference is None
        else f"{reference.title} did not have this wine"
    )
    said = f"{why}, so nothing is said of whether {say_number(entry.total)} is high or low."
    return WineFeedback(entry.wine, None, (), None, (), (), (), (said, POUR_AGAIN))


def _beside(key: str, entry: Entry, sheet: Sheet, known: Known, at: int) -> Beside:
    whole = key == TOTAL
    own = entry.total if whole else entry.marks[key]
    part = None if whole else sheet.category(key)
    reach = REACH * sqrt(float(known.covariance[at, at]) + known.bottle_sd**2)
    panel = float(known.score[at])
    lowest, top = (sheet.lowest, sheet.top) if part is None else (part.lowest, part.top)
    return Beside(
        key=key,
        label="Total" if part is None else part.label,
        own=own,
        panel=panel,
        low=max(lowest, panel - reach),
        high=min(top, panel + reach),
        gap=(own - panel) * (1.0 if part is None else part.weight),
    )


def _driver(total: Beside | None, categories: Iterable[Beside], sheet: Sheet) -> Beside | None:
    """The category whose gap is largest, and goes the way of the total's, by a step or more."""
    if total is None or total.within:
        return None
    along = [one for one in categories if one.gap * total.gap > 0 and not one.within]
    largest = max(along, key=lambda one: abs(one.gap), default=None)
    if largest is None or abs(largest.gap) < abs(total.gap) / 3:
        return None
    enough = abs(largest.own - largest.panel) >= sheet.category(largest.key).step
    return largest if enough else None


def _aromas(
    entry: Entry, known: Iterable[KnownTerm]
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    often = tuple(one.key for one in known)
    own = tuple(entry.terms)
    return (
        tuple(key for key in often if key in own),
        tuple(key for key in often if key not in own),
        tuple(key for key in own if key not in often),
    )


def _say_total(total: Beside | None) -> tuple[str, ...]:
    if total is None:
        return ("The panel's result has no total for this wine.",)
    said = f"You gave {say_number(total.own)}; the panel {number(total.panel)}"
    span = f"{number(total.low)} to {number(total.high)} for a bottle like yours"
    if total.within:
        return (f"{said} ({span}). That is where the panel is.",)
    side = "above" if total.gap > 0 else "below"
    points = number(abs(total.gap))
    return (f"{said} ({span}). You are {points} points {side} it.",)


def _say_driver(total: Beside | None, driver: Beside | None) -> tuple[str, ...]:
    if total is None or total.within:
        return ()
    if driver is None:
        return ("No single category makes the difference; it is a little of several.",)
    side = "above" if driver.gap > 0 else "below"
    marks = f"you gave {say_number(driver.own)}, the panel {number(driver.panel)}"
    back = f"It is worth going back to the glass to see what puts you {side} them."
    return (f"Most of it is {driver.label.lower()}: {marks}. {back}",)


def _say_aromas(
    shared: tuple[str, ...],
    missed: tuple[str, ...],
    alone: tuple[str, ...],
    *,
    ticked: bool,
) -> Iterable[str]:
    if shared:
        yield f"You and the panel both found {_listed(shared)}."
    if missed:
        lead = "Others also found" if ticked else "Others found"
        them = "this" if len(missed) == 1 else "these"
        yield f"{lead} {_listed(missed)}: smell again with {them} in mind."
    if alone:
        verb = "is" if len(alone) == 1 else "are"
        yield f"{_listed(alone).capitalize()} {verb} yours alone, and may well be there."


def _say_faults(faults: tuple[str, ...]) -> Iterable[str]:
    if faults:
        yield (
            f"You ticked {_listed(faults)}: this bottle may not be as the panel's were, so its "
            "marks are kept and not counted."
        )


def _listed(words: tuple[str, ...]) -> str:
    *before, last = words
    return f"{', '.join(before)} and {last}" if before else last
