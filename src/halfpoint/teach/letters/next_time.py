"""One thing to try next time: what the marks are surest of, else something worth a glass."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations

from halfpoint.panel.said import TasterFinding
from halfpoint.publish.numbers import points
from halfpoint.publish.words import spoken
from halfpoint.teach.letters.group import Group, Mark

# Steps of the sheet below which a level, or a gap between two wines, is not worth a word.
_WORTH_LEVEL, _WORTH_GAP = 1.0, 2.0


def next_time(
    group: Group, found: TasterFinding | None, marks: tuple[Mark, ...], totals: Mapping[str, float]
) -> str:
    """One thing to try, in a sentence or two.

    Args:
        group: the tasting.
        found: what is known of the taster.
        marks: the taster's entries.
        totals: wine to the taster's (mean) total.
    """
    return next(_things(group, found, marks, totals))


def _things(
    group: Group, found: TasterFinding | None, marks: tuple[Mark, ...], totals: Mapping[str, float]
) -> Iterator[str]:
    if found is None or found.withheld:
        yield (
            "Mark a whole flight next time. "
            "From about five wines on, a letter can say how you mark."
        )
    else:
        yield from _of_figures(group, found)
    yield from _two_alike(group, totals)
    if group.sheet.families and not any(mark.terms for mark in marks):
        yield (
            "Tick one or two aroma words for each wine. "
            "Finding the word is often finding the wine again."
        )
    if group.sheet.finish and not any(mark.seconds is not None for mark in marks):
        yield "Time the finish of one wine in each flight. Seconds settle many a doubt."
    yield "Go back to the first wine of a flight when you have marked the last. Does it still fit?"


def _of_figures(group: Group, found: TasterFinding) -> Iterator[str]:
    step = _step(group)
    level, spread = found.severity, found.spread
    if level is not None and abs(level.value) >= _WORTH_LEVEL * step:
        if level.low > 0:
            yield (
                "Before the first wine, settle what a good plain wine earns from you on each line "
                "of the sheet. Start from there, and go up as freely as down."
            )
        if level.high < 0:
            yield (
                "Before the first wine, settle what a good plain wine earns from you on each line "
                "of the sheet. Start from there, and keep the top of the ruler for the few."
            )
    if spread is not None and spread.high < 1:
        yield (
            "When one wine pleases you clearly more than the next, let a whole point lie between "
            "them. The whole ruler is yours."
        )


def _two_alike(group: Group, totals: Mapping[str, float]) -> Iterator[str]:
    """Two wines with one mark that the others tell apart, those farthest apart first."""
    gaps = [
        (abs(_score(group, one) - _score(group, other)), one, other)
        for one, other in combinations(sorted(totals), 2)
        if totals[one] == totals[other] and frozenset((one, other)) in group.apart
    ]
    gap, one, other = max(gaps, default=(0.0, "", ""))
    if gap >= _WORTH_GAP * _step(group):
        yield (
            f"You gave {spoken(one)} and {spoken(other)} the same mark, and the group sees about "
            f"{points(gap)} between them. Pour the two side by side one evening: what do you find?"
        )


def _step(group: Group) -> float:
    return max(category.step for category in group.sheet.categories)


def _score(group: Group, wine: str) -> float:
    score = group.wines[wine].adjusted
    return 0.0 if score is None else score
