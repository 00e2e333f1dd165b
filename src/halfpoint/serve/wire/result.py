"""What a taster gets after the reveal: the own marks beside the group's."""

from __future__ import annotations

from typing import Literal

from halfpoint.serve.wire.marks import Shape
from halfpoint.serve.wire.sheet import TastingShown


class OwnMarks(Shape):
    """What this seat marked."""

    marks: dict[str, float]
    """Category key to mark."""
    total: float
    """The weighted sum."""


class GroupScore(Shape):
    """What all tasters together say of a wine in one kind of mark."""

    estimate: float | None
    """The score with tasters' severity taken out; null where the marks do not allow it."""
    low: float | None
    """Lower end of its 95 % interval."""
    high: float | None
    """Upper end."""


class WineTold(Shape):
    """One pour: which wine it was, the own marks, and the group's."""

    code: str
    """The blind code."""
    position: int
    """In the evening, from 1."""
    wine: str
    """Its name."""
    own: OwnMarks | None
    """Null when nothing of this seat is in the record for it."""
    group: dict[str, GroupScore]
    """`total` and each category's key to the group's score."""
    tasters: int
    """How many have marked it."""
    terms_shared: list[str]
    """Aroma terms ticked here that a fifth of the others, and at least two, ticked too."""
    terms_missed: list[str]
    """Terms that most others ticked and this seat did not; at most five."""


class ResultShown(Shape):
    """The evening of one seat, revealed."""

    revealed: Literal[True]
    """Always: before the reveal the request is refused."""
    tasting: TastingShown
    """The tasting."""
    taster: str
    """What the record calls whoever sits here."""
    wines: list[WineTold]
    """In serving order."""
    note: str
    """What keeps the group's scores from being there, in words; else empty."""
