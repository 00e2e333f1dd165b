"""How somebody marks, in words: kind, specific, and no more than the marks bear."""

from __future__ import annotations

from collections.abc import Sequence

from halfpoint.panel.said import Interval, TasterFinding
from halfpoint.publish.numbers import mark, number, plural, points
from halfpoint.publish.words import spoken
from halfpoint.teach.own_past import Before
from halfpoint.teach.years import Told

TOO_FEW = "There are too few marks yet to say how you mark. One more flight would change that."


def how_you_mark(found: TasterFinding | None, totals: Sequence[float]) -> tuple[str, ...]:
    """Level, use of the ruler and order, each only where there is a figure for it."""
    if found is None or found.withheld or found.severity is None:
        return (TOO_FEW,)
    if len(set(totals)) == 1:
        same = (
            f"Every wine had the same mark from you, {mark(totals[0])}, so there is no order to "
            "put beside the others'."
        )
        return (level(found.severity, found.marks), same)
    said = [level(found.severity, found.marks)]
    if found.spread is not None:
        said.append(spread(found.spread))
    if found.agreement is not None:
        said.append(order(found.agreement))
    return tuple(said)


def level(severity: Interval, marks: int) -> str:
    """Severity, given in points below the others."""
    if severity.low > 0:
        between = f"between {number(severity.low)} and {points(severity.high)}"
        return (
            f"On the same wines you mark lower than most: by about "
            f"{points(severity.value)}, {between}. The group's scores allow for that."
        )
    if severity.high < 0:
        between = f"between {number(-severity.high)} and {points(-severity.low)}"
        return (
            f"On the same wines you mark higher than most: by about "
            f"{points(-severity.value)}, {between}. The group's scores allow for that."
        )
    half = (severity.high - severity.low) / 2
    return (
        "You mark at about the level of the others. "
        f"Your {plural(marks, 'mark')} can tell this to within {points(half)} or so."
    )


def over_the_years(before: Sequence[Before]) -> tuple[str, ...]:
    """Levels at earlier tastings, the earliest first, and what they are good for."""
    sides = [_side(each.level) for each in before]
    if len(before) > 1 and set(sides) == {_ABOUT}:
        sides = [*sides[:-1], "again"]
    said = [f"{side} in {spoken(each.label)}" for side, each in zip(sides, before, strict=True)]
    which = f"{', '.join(said[:-1])} and {said[-1]}" if len(said) > 1 else said[0]
    return (
        f"At earlier tastings your level was {which}.",
        "How you mark now is judged from there. A level is a habit, and any will do.",
    )


_ABOUT = "about that of the others"


def _side(level: Told) -> str:
    if level.low <= 0 <= level.high:
        return _ABOUT
    return f"{points(abs(level.value))} {'lower' if level.value > 0 else 'higher'}"


def spread(found: Interval) -> str:
    """Use of the ruler: points given where others see one point."""
    between = f"{number(found.value)} ({number(found.low)} to {number(found.high)})"
    if found.low > 1:
        return (
            "You use more of the ruler than most. Where others see one point between two wines, "
            f"you see about {between}."
        )
    if found.high < 1:
        return (
            "You keep your marks close together. Where others see one point between two wines, "
            f"you give about {between}."
        )
    return "You use about as much of the ruler as the others do, as far as your marks can tell."


def order(agreement: Interval) -> str:
    """Agreement with the others' order."""
    if agreement.low > 0.5:
        return "You put the wines in much the same order as the others."
    if agreement.low > 0:
        return "You and the others share part of the order, and differ on the rest."
    if agreement.high < 0:
        return "You liked other wines than most did. A tasting needs such palates too."
    return "Your marks are too few to say if your order is like that of the others."


def poured_again(
    again: Sequence[tuple[str, Sequence[float]]], usual: float | None, repeatability: float | None
) -> tuple[str, ...]:
    """What a second pour of the same wine showed.

    Args:
        again: wines met twice or more, each with its marks in the order given.
        usual: the middle gap between such marks over all tasters; None with few of them.
        repeatability: standard deviation of a mark given again, told from three pairs on.
    """
    said = [_met_again(wine, marks) for wine, marks in again[:2]]
    if usual is not None:
        said.append(f"Half of all such pairs in the tasting lay within {points(usual)}.")
    if len(again) < 3:
        pairs = "One pair" if len(again) == 1 else "Two pairs"
        said.append(f"{pairs} cannot tell how steady a palate is, but it is a start.")
    elif repeatability is not None:
        said.append(f"Given again, a mark of yours moves by about {points(repeatability)}.")
    return tuple(said)


def _met_again(wine: str, marks: Sequence[float]) -> str:
    listed = f"{', '.join(mark(m) for m in marks[:-1])} and {mark(marks[-1])}"
    if len(set(marks)) == 1:
        return f"You met {spoken(wine)} more than once, unawares, and gave it {listed}: the same."
    gap = max(marks) - min(marks)
    return (
        f"You met {spoken(wine)} more than once, unawares, and gave it {listed}, {_gap(gap)} apart."
    )


def _gap(gap: float) -> str:
    if gap == 0.5:
        return "half a point"
    return f"{mark(gap)}\u00a0{'point' if gap <= 1 else 'points'}"


def listed(names: Sequence[str], most: int = 3) -> str:
    """`a, b and c`; `a, b and 2 others` beyond so many."""
    names = [spoken(name) for name in names]
    if len(names) > most:
        names = [*names[: most - 1], f"{len(names) - most + 1} others"]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
