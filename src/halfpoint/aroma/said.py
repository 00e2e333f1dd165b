"""What is said of aromas, faults, finish and remarks, typed and serialisable."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TermFinding:
    """A term, family, fault or word of the tasters' own.

    `counts` are entries that ticked it, a wine each, in the order of `AromaFindings.wines`, None
    for a wine that is withheld. `q`
    and `p` ask whether wines differ (Cochran), `p_adjusted` with all terms asked at once; None
    where nobody tells wines apart by it, or nobody ticked for all. `change` is how much higher the
    total is where a taster ticked it than where the same taster did not.
    """

    key: str
    label: str
    kind: str
    ticked: int
    counts: tuple[int | None, ...]
    q: float | None
    p: float | None
    p_adjusted: float | None
    change: float | None
    change_low: float | None
    change_high: float | None
    change_p: float | None
    change_tasters: int


@dataclass(frozen=True, slots=True)
class TermPair:
    """Two wines that a term tells apart, exact p after Holm's correction over all pairs."""

    key: str
    more: str
    less: str
    only_more: int
    only_less: int
    p_adjusted: float


@dataclass(frozen=True, slots=True)
class AromaWine:
    """What one wine was like. Seconds of finish are the median of those timed, with interval.

    `terms` are keys from the most ticked, `marked` those ticked for this wine clearly more than
    for the others together. `withheld` says that there are too few entries to publish.
    """

    wine: str
    entries: int
    withheld: bool
    terms: tuple[str, ...]
    marked: tuple[str, ...]
    finish: float | None
    finish_low: float | None
    finish_high: float | None
    timed: int


@dataclass(frozen=True, slots=True)
class Place:
    """A wine or term on the map; a wine with its 95 % ellipse (half axes, turn in radians)."""

    name: str
    x: float
    y: float
    long: float | None
    short: float | None
    turn: float | None


@dataclass(frozen=True, slots=True)
class MapFinding:
    """The map of wines and terms; `shares` of all difference that its two axes show."""

    shares: tuple[float, ...]
    wines: tuple[Place, ...]
    terms: tuple[Place, ...]
    chi_square: float
    df: int
    p: float


@dataclass(frozen=True, slots=True)
class RemarkFinding:
    """Words in remarks that were taken for a term of the sheet, and how often."""

    key: str
    written: str
    count: int


@dataclass(frozen=True, slots=True)
class AromaFindings:
    """Everything that ticks, seconds and remarks say."""

    entries: int
    wines: tuple[AromaWine, ...]
    terms: tuple[TermFinding, ...]
    pairs: tuple[TermPair, ...]
    map: MapFinding | None
    remarks: tuple[RemarkFinding, ...]
    sentence: str
    notes: tuple[str, ...]
