"""Letters as data: what is said and drawn, before it is set on a page."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """A wine on a ruler: marks above the line, the group's score with its interval below.

    `scale` is the lowest and the top mark of a ruler of its own; None for the one all rows share.
    """

    wine: str
    marks: tuple[float, ...]
    score: float | None
    low: float | None
    high: float | None
    scale: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class YearLevel:
    """How far above the others somebody marked at an earlier tasting."""

    label: str
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Level:
    """How far above (positive) the others somebody marks, and how the others lie about zero.

    `edges` bound the `counts` of tasters; both are empty where too few marked. `before` are
    earlier tastings, the earliest first.
    """

    value: float
    low: float
    high: float
    edges: tuple[float, ...]
    counts: tuple[int, ...]
    before: tuple[YearLevel, ...] = ()


@dataclass(frozen=True, slots=True)
class Passage:
    """A few sentences under a title."""

    title: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Bars:
    """How many marks lie between successive edges."""

    title: str
    edges: tuple[float, ...]
    counts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Letter:
    """One page to one person.

    `kind` is 'taster', 'host' or 'maker'; `key` that of the taster, site or wine; `site` the name
    of the room, where there is one. `marks_said` and `score_said` tell what the knobs and rings of
    `rows` are.
    """

    kind: str
    key: str
    name: str
    site: str
    greeting: str
    opening: tuple[str, ...]
    rows_title: str
    marks_said: str
    score_said: str
    rows: tuple[Row, ...]
    level: Level | None
    bars: Bars | None
    passages: tuple[Passage, ...]
    next_time: str
    closing: str
