"""Advice in words: what to practise next, why, and what to pour for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from halfpoint.publish.numbers import number
from halfpoint.sheet.form import Sheet
from halfpoint.teach.advice import Point
from halfpoint.teach.calibration import Calibration
from halfpoint.teach.reference import Reference


@dataclass(frozen=True, slots=True)
class Advice:
    """What to practise next: the point, why, what to do, and wines of the reference for it."""

    point: Point
    why: str
    exercise: str
    wines: tuple[str, ...]


def advise(
    ranked: Sequence[Point], found: Mapping[str, Calibration], reference: Reference, sheet: Sheet
) -> Advice | None:
    """The most worthwhile point in words; None without any."""
    if not ranked:
        return None
    point = ranked[0]
    label = sheet.category(point.category).label.lower()
    wines = _wines(point, reference)
    return Advice(
        point, _why(point, found[point.category], label), _exercise(point, label, wines), wines
    )


def _wines(point: Point, reference: Reference) -> tuple[str, ...]:
    """The two furthest apart for spread; otherwise the two nearest the middle."""
    known = reference.marks[point.category]
    order = np.argsort(known.score, kind='stable')
    if point.aspect != 'spread':
        order = np.argsort(np.abs(known.score - known.centre), kind='stable')
        return tuple(reference.wines[at] for at in order[:2])
    return tuple(reference.wines[at] for at in dict.fromkeys((order[-1], order[0])))


def _why(point: Point, found: Calibration, label: str) -> str:
    if not point.sure:
        return _unsure(point, found, label)
    if point.aspect == 'severity':
        side = "below" if found.severity.value > 0 else "above"
        size = abs(found.severity.value)
        ends = sorted(map(abs, (found.severity.low, found.severity.high)))
        return (
            f"For {label} you mark about {number(size)} points {side} the panel "
            f"({number(ends[0])} to {number(ends[1])})."
        )
    if point.aspect == 'spread':
        closer = "closer together" if found.spread.value < 1 else "further apart"
        return (
            f"For {label} you put wines {closer} than the panel: {number(found.spread.value)} "
            f"times as far ({number(found.spread.low)} to {number(found.spread.high)})."
        )
    return (
        f"For {label} your marks vary from the panel's by about {number(found.noise.value)} "
        f"points from wine to wine ({number(found.noise.low)} to {number(found.noise.high)}), "
        "more than is usual."
    )


def _unsure(point: Point, found: Calibration, label: str) -> str:
    what = {
        'severity': "whether you mark above or below the panel",
        'spread': "whether you put wines as far apart as the panel does",
        'steadiness': "how steadily you mark",
    }[point.aspect]
    count = f"{found.wines} wine{'' if found.wines == 1 else 's'}"
    return f"After {count} it is least certain, for {label}, {what}. More marks will show it."


def _exercise(point: Point, label: str, wines: Sequence[str]) -> str:
    pair = " and ".join(wines)
    if point.aspect == 'severity':
        return (
            f"Pour {pair} and mark {label} only, with the guidance for {label} beside you; "
            "then look at the panel's marks and taste once more."
        )
    if point.aspect == 'spread':
        return (
            f"Pour {pair} side by side: the panel put them furthest apart for {label}. Find what "
            "makes the difference, and give it its room on the ruler."
        )
    return (
        f"Have {pair} poured twice each among other wines, without being told where. Mark {label} "
        "by the same question each time, and compare the two marks."
    )
