"""An entry: one taster's sheet for one pour, and why one may not be accepted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Entry:
    """One taster's accepted sheet for one pour.

    Made only by `halfpoint.sheet.validity`, which holds the one validity check.
    `marks` maps category key to mark; `total` is their weighted sum. `pour` tells repeated
    pours of one wine apart where neither code nor position does. `families` are keys of aroma
    families ticked as a whole, and `finish_band` is the label of the sheet's band that was
    ticked, as on a paper sheet. `own_words` are aroma words of the taster's own, which the sheet
    does not have.
    """

    taster: str
    wine: str
    marks: Mapping[str, float]
    total: float
    site: str | None = None
    position: int | None = None
    code: str | None = None
    terms: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    finish_seconds: float | None = None
    remark: str = ''
    pour: str | None = None
    families: tuple[str, ...] = ()
    finish_band: str = ''
    own_words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Complaint:
    """Why something cannot be accepted: the field, what was found, what was expected."""

    field: str
    found: str
    expected: str


@dataclass(frozen=True, slots=True)
class Hint:
    """A contradiction worth a second look. Never changes or refuses a mark."""

    field: str
    message: str
    about: tuple[str, ...] = ()
