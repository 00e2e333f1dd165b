"""Invented wines marked on a sheet, step by step, with the reason for each mark."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from halfpoint.sheet.form import Category, Fault, Guidance, Sheet
from halfpoint.teach.guide import stages
from halfpoint.teach.guide.families import usual_in
from halfpoint.teach.guide.said import Example, ExampleMark


@dataclass(frozen=True, slots=True)
class _Invented:
    """An invented wine: for each stage how high its marks lie (0 to 1), and what is found."""

    wine: str
    glass: str
    levels: dict[str, float]
    found: dict[str, str]
    terms: tuple[str, ...]
    kind: str
    seconds: float
    faulty: bool = False


_WINES = (
    _Invented(
        "Pinderleigh Hill, a dry white",
        "Lemon and pear, a clean taste, gone in a quarter of a minute.",
        {stages.LOOK: 1, stages.SMELL: 0.7, stages.TASTE: 0.7, stages.FINISH: 0.34,
         stages.DECIDE: 0.67},
        {
            stages.LOOK: "Clear, pale, nothing amiss.",
            stages.SMELL: "Lemon and pear come easily, and not much else.",
            stages.TASTE: "The same again. Acid is fresh, and fruit holds it.",
            stages.FINISH: "Lemon stays for 14 seconds, pleasant to the end.",
            stages.DECIDE: "More pluses than minuses: a good plain wine.",
        },
        ('lemon', 'pear'), 'white', 14,
    ),
    _Invented(
        "Corrowby Old Barn, a red",
        "Plum, violet, clove and vanilla. A big wine, with all of it in place.",
        {stages.LOOK: 1, stages.SMELL: 1, stages.TASTE: 1, stages.FINISH: 1, stages.DECIDE: 1},
        {
            stages.LOOK: "Deep and clear. The shade itself earns nothing.",
            stages.SMELL: "Plum meets you; then violet, clove, vanilla.",
            stages.TASTE: "Strong and many. Tannin and alcohol are there, and held.",
            stages.FINISH: "Plum and clove stay for 55 seconds.",
            stages.DECIDE: "You would tell a friend about it.",
        },
        ('plum', 'violet', 'clove', 'vanilla'), 'red', 55,
    ),
    _Invented(
        "Marl Steps, a young red",
        "Faint raspberry. The mouth is left dry.",
        {stages.LOOK: 1, stages.SMELL: 0.34, stages.TASTE: 0.34, stages.FINISH: 0,
         stages.DECIDE: 0.34},
        {
            stages.LOOK: "Bright and sound.",
            stages.SMELL: "Raspberry, when you search for it.",
            stages.TASTE: "A little raspberry; then tannin, alone.",
            stages.FINISH: "Fruit is gone at once. What stays only dries.",
            stages.DECIDE: "Drinkable, with more minuses than pluses.",
        },
        ('raspberry',), 'red', 4,
    ),
    _Invented(
        "Tarn Gate, a white",
        "A wine with a fault: the fault decides more than the rest.",
        {stages.LOOK: 1, stages.SMELL: 0.34, stages.TASTE: 0.34, stages.FINISH: 0,
         stages.DECIDE: 0},
        {
            stages.LOOK: "Nothing to see; this fault hides from the eye.",
            stages.TASTE: "Dull. The fruit that was there is gone.",
            stages.FINISH: "Nothing pleasant stays.",
            stages.DECIDE: "Tick the fault, mark what is left, tell the host.",
        },
        (), 'white', 3, faulty=True,
    ),
)  # fmt: skip


def examples(sheet: Sheet) -> tuple[Example, ...]:
    """The invented wines on this sheet; the one with a fault where the sheet has such a fault."""
    fault = _fault(sheet)
    return tuple(
        _example(sheet, wine, fault if wine.faulty else None)
        for wine in _WINES
        if fault is not None or not wine.faulty
    )


def _fault(sheet: Sheet) -> Fault | None:
    """The first fault of the nose with a ceiling that no eye can see."""
    places = stages.stage_of_category(sheet)
    fitting = (
        fault
        for fault in sheet.faults
        if fault.ceiling is not None and fault.category is not None
        and ('cork' in fault.key or places[fault.category] == stages.SMELL)
    )  # fmt: skip
    return next(fitting, None)


def _example(sheet: Sheet, wine: _Invented, fault: Fault | None) -> Example:
    places = stages.stage_of_category(sheet)
    told: set[str] = set()
    marks = []
    for each in sheet.categories:
        stage = places[each.key]
        marks.append(_mark(each, stage, wine, fault, first=stage not in told))
        told.add(stage)
    total = sum(each.weight * mark.mark for each, mark in zip(sheet.categories, marks, strict=True))
    terms = tuple(
        term.label
        for term in sheet.terms_by_key.values()
        if term.label in wine.terms and usual_in(term.label) in {wine.kind, 'either', ''}
    )
    faults = () if fault is None else (fault.label,)
    return Example(wine.wine, wine.glass, tuple(marks), total, terms, faults, wine.seconds)


def _mark(
    category: Category, stage: str, wine: _Invented, fault: Fault | None, *, first: bool
) -> ExampleMark:
    """The mark in the middle of its band; only the first line of a stage tells what was found."""
    band = _band(category, wine.levels[stage])
    middle = (band.low + band.high) / 2 if band else _along(category, wine.levels[stage])
    why = wine.found.get(stage, "") if first else ""
    if fault is not None and fault.category == category.key:
        middle = min(middle, fault.ceiling if fault.ceiling is not None else middle)
        why = fault.sign
    return ExampleMark(category.key, _on_step(category, middle), why or (band.text if band else ""))


def _band(category: Category, level: float) -> Guidance | None:
    bands: Iterable[Guidance] = category.guidance
    ordered = sorted(bands, key=lambda g: (g.low, g.high))
    return ordered[round(level * (len(ordered) - 1))] if ordered else None


def _along(category: Category, level: float) -> float:
    return category.lowest + level * (category.top - category.lowest)


def _on_step(category: Category, mark: float) -> float:
    """The nearest step to a mark, the upper one half way between two."""
    steps = int((mark - category.lowest) / category.step + 0.5 + 1e-9)
    return category.lowest + steps * category.step
