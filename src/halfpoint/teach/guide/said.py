"""The tasting guide as data: what the pages, and the app, set."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Band:
    """Marks from `low` to `high`, and what they mean."""

    low: float
    high: float
    text: str


@dataclass(frozen=True, slots=True)
class Line:
    """One category of the sheet: its ruler from `lowest` to `top` in steps, and its bands."""

    key: str
    label: str
    question: str
    lowest: float
    top: float
    step: float
    bands: tuple[Band, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of tasting: what to do, and the categories of the sheet it decides.

    `short` is the one line that fits the one-page guide; `more` what the longer one adds.
    """

    key: str
    label: str
    short: str
    how: tuple[str, ...]
    more: tuple[str, ...]
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the trade and what it means."""

    word: str
    means: str


@dataclass(frozen=True, slots=True)
class Twig:
    """An aroma word; `usual` says in which wines: 'white', 'red', 'either' or '' for any."""

    label: str
    usual: str


@dataclass(frozen=True, slots=True)
class Branch:
    """An aroma family and its words."""

    label: str
    twigs: tuple[Twig, ...]


@dataclass(frozen=True, slots=True)
class FaultSign:
    """A fault to the eye, nose and mouth; what shows nothing is empty.

    `usual` says which mark is seldom passed with it.
    """

    label: str
    look: str
    smell: str
    taste: str
    usual: str


@dataclass(frozen=True, slots=True)
class FinishTime:
    """A finish from so many seconds on, to `to_seconds` or open, and its usual marks in words."""

    label: str
    from_seconds: float
    to_seconds: float | None
    usual: str


@dataclass(frozen=True, slots=True)
class ExampleMark:
    """The mark for one category, and why."""

    key: str
    mark: float
    why: str


@dataclass(frozen=True, slots=True)
class Example:
    """An invented wine marked on the sheet."""

    wine: str
    glass: str
    marks: tuple[ExampleMark, ...]
    total: float
    terms: tuple[str, ...]
    faults: tuple[str, ...]
    finish_seconds: float


@dataclass(frozen=True, slots=True)
class Guide:
    """How to taste with one score sheet; `tries` are small things to do at home."""

    sheet: str
    about: str
    top: float
    stages: tuple[Stage, ...]
    words: tuple[Word, ...]
    families: tuple[Branch, ...]
    finish: tuple[FinishTime, ...]
    faults: tuple[FaultSign, ...]
    examples: tuple[Example, ...]
    tries: tuple[Word, ...]
    cautions: tuple[str, ...]
