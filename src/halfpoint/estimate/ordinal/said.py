"""What ordered steps say of one kind of mark, typed and serialisable."""

from __future__ import annotations

from dataclasses import dataclass

SEPARATED = (
    'The steps separate some wines or tasters completely, so how far apart they are has no upper '
    'limit; a weak prior holds the answer in.'
)


@dataclass(frozen=True, slots=True)
class OrdinalWine:
    """One wine's effect with its 95 % interval, in units of the link; all sum to zero."""

    wine: str
    effect: float
    se: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class OrdinalPair:
    """Wine `a` less wine `b` by points and by steps; p values hold over all pairs at once."""

    a: str
    b: str
    points: float
    points_p: float
    steps: float
    steps_p: float


@dataclass(frozen=True, slots=True)
class OrdinalCovariate:
    """What one unit more of a covariate (or one level of it) adds, in units of the link."""

    covariate: str
    level: str | None
    effect: float
    se: float


@dataclass(frozen=True, slots=True)
class OrdinalStep:
    """One step: its marks `lowest` to `highest`, and the threshold above it (None on top)."""

    lowest: float
    highest: float
    marks: int
    threshold: float | None
    se: float | None


@dataclass(frozen=True, slots=True)
class OrdinalFindings:
    """Does the order of the wines lean on the scale?

    `wines` are in the order that the steps give, the best first.  `opposite` are pairs that
    points and steps both tell apart, the other way round; `points_only` and `steps_only` are
    told apart by one of them.  `same_order` is None when nothing was fitted, and `sentence`
    then says why.  `spreads` are standard deviations of the random effects in units of the
    link; `held_in` says that a weak prior keeps the answer finite, as the note `SEPARATED` does.
    """

    link: str
    nodes: int
    marks: int
    steps: tuple[OrdinalStep, ...]
    wines: tuple[OrdinalWine, ...]
    covariates: tuple[OrdinalCovariate, ...]
    spreads: dict[str, float]
    loglik: float | None
    same_order: bool | None
    opposite: tuple[OrdinalPair, ...]
    points_only: tuple[OrdinalPair, ...]
    steps_only: tuple[OrdinalPair, ...]
    held_in: bool
    sentence: str
    notes: tuple[str, ...]
