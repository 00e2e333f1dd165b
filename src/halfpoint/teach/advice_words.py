"""Advice in words: what to practise next, why, and what to pour for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from types import MappingProxyType

from halfpoint.publish.numbers import number
from halfpoint.sheet.form import Sheet
from halfpoint.teach.advice import Point
from halfpoint.teach.calibration import Calibration
from halfpoint.teach.reference import Reference

# Where there are too few marks to go by, and where there is nothing to compare with.
WHOLE_FLIGHT = (
    "Mark a whole flight next time. From about five wines on, there is something to say of how "
    "you mark."
)
GO_BACK = "Go back to the first wine of a flight when you have marked the last. Does it still fit?"


@dataclass(frozen=True, slots=True)
class Advice:
    """What to practise next: the point, why, what to do, and wines of the reference for it."""

    point: Point
    why: str
    exercise: str
    wines: tuple[str, ...]


def advise(
    ranked: Sequence[Point],
    found: Mapping[str, Calibration],
    reference: Reference,
    sheet: Sheet,
    *,
    own: Mapping[str, Mapping[str, float]] = MappingProxyType({}),
    others: str = "the panel",
) -> Advice | None:
    """The most worthwhile point in words; None without any.

    Args:
        ranked: points to practise, the most worthwhile first.
        found: a calibration by category.
        reference: what was compared with.
        sheet: for what categories are called.
        own: by category what the learner gave wines of the reference; with them the wines to pour
            are those in which it shows.
        others: what the panel is called.
    """
    if not ranked:
        return None
    point = ranked[0]
    label = sheet.category(point.category).label.lower()
    given = own.get(point.category, {})
    wines = _wines(point, reference, found[point.category], given)
    apart = _apart(point, reference, wines, given, label, others)
    said = _Said(label, others, " and ".join(wines), apart)
    return Advice(point, said.why(point, found[point.category]), said.exercise(point), wines)


def _wines(
    point: Point, reference: Reference, found: Calibration, own: Mapping[str, float]
) -> tuple[str, ...]:
    """The two in which it shows, where own marks tell; else by the reference alone.

    By the reference: the two furthest apart for spread, otherwise the two nearest the middle.
    """
    known = reference.marks[point.category]
    score = dict(zip(reference.wines, known.score.tolist(), strict=True))
    if point.sure and len(own) > 1:
        return _showing(point, score, own, found)
    if point.aspect != 'spread':
        order = sorted(score, key=lambda wine: abs(score[wine] - known.centre))
        return tuple(order[:2])
    order = sorted(score, key=lambda wine: score[wine])
    return tuple(dict.fromkeys((order[-1], order[0])))


def _showing(
    point: Point, score: Mapping[str, float], own: Mapping[str, float], found: Calibration
) -> tuple[str, ...]:
    """Two wines whose own marks show the point most."""
    if point.aspect == 'spread':
        side = 1.0 if found.spread.value < 1.0 else -1.0

        def closer(pair: tuple[str, str]) -> float:
            one, other = pair
            return side * (abs(score[one] - score[other]) - abs(own[one] - own[other]))

        return max(combinations(sorted(own), 2), key=closer)
    away = {wine: mark + found.severity.value - score[wine] for wine, mark in own.items()}
    if point.aspect == 'severity':
        # Where the distance is the usual one, it is the level that shows and nothing else.
        return tuple(sorted(away, key=lambda wine: (abs(away[wine]), wine))[:2])
    return tuple(sorted(away, key=lambda wine: (-abs(away[wine]), wine))[:2])


def _apart(
    point: Point,
    reference: Reference,
    wines: Sequence[str],
    own: Mapping[str, float],
    label: str,
    others: str,
) -> str:
    """What lies between two wines, and what to do with it."""
    room = "Find what makes the difference, and give it its room on the ruler"
    if not (point.sure and own.keys() >= set(wines)) or len(wines) < 2:
        return f"{others} put them furthest apart for {label}. {room}"
    known = reference.marks[point.category]
    scores = [known.score[reference.wines.index(wine)] for wine in wines]
    theirs, mine = abs(scores[0] - scores[1]), abs(own[wines[0]] - own[wines[1]])
    what = room if mine < theirs else "Find what the two have in common before you mark them"
    return (
        f"for {label}, {others} sees {number(theirs)} points between them, and you gave "
        f"{number(mine)}. {what}"
    )


@dataclass(frozen=True, slots=True)
class _Said:
    """What the category is called, the others, the wines to pour, and what lies between them."""

    label: str
    others: str
    pair: str
    apart: str

    def why(self, point: Point, found: Calibration) -> str:
        """Why this point."""
        if not point.sure:
            return self._unsure(point, found)
        if point.aspect == 'severity':
            side = "below" if found.severity.value > 0 else "above"
            size = abs(found.severity.value)
            ends = sorted(map(abs, (found.severity.low, found.severity.high)))
            return (
                f"For {self.label} you mark about {number(size)} points {side} {self.others} "
                f"({number(ends[0])} to {number(ends[1])})."
            )
        if point.aspect == 'spread':
            closer = "closer together" if found.spread.value < 1 else "further apart"
            return (
                f"For {self.label} you put wines {closer} than {self.others}: "
                f"{number(found.spread.value)} times as far ({number(found.spread.low)} to "
                f"{number(found.spread.high)})."
            )
        return (
            f"For {self.label} your marks vary from {self.others}'s by about "
            f"{number(found.noise.value)} points from wine to wine ({number(found.noise.low)} to "
            f"{number(found.noise.high)}), more than is usual."
        )

    def _unsure(self, point: Point, found: Calibration) -> str:
        what = {
            'severity': f"whether you mark above or below {self.others}",
            'spread': f"whether you put wines as far apart as {self.others} does",
            'steadiness': "how steadily you mark",
        }[point.aspect]
        count = f"{found.wines} wine{'' if found.wines == 1 else 's'}"
        return (
            f"After {count} it is least certain, for {self.label}, {what}. More marks will show it."
        )

    def exercise(self, point: Point) -> str:
        """What to do."""
        if point.aspect == 'severity':
            return (
                f"Pour {self.pair} and mark {self.label} only, with the guidance for {self.label} "
                f"beside you; then look at {self.others}'s marks and taste once more."
            )
        if point.aspect == 'spread':
            return f"Pour {self.pair} side by side: {self.apart}."
        return (
            f"Have {self.pair} poured twice each among other wines, without being told where. Mark "
            f"{self.label} by the same question each time, and compare the two marks."
        )
