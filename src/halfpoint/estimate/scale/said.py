"""What scale use says, typed and serialisable."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ScaleWine:
    """A wine's precision-weighted score with its 95 % interval, in points."""

    wine: str
    score: float
    se: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ScaleLine:
    """A line of the mixed-assessor table; `f` and `p` against disagreement, error for that."""

    term: str
    df: int
    sum_of_squares: float
    mean_square: float | None
    f: float | None
    p: float | None


@dataclass(frozen=True, slots=True)
class ScaleFindings:
    """How differently tasters use the scale, and what the wines score when that is allowed for.

    `severity_sd`, `spread_sd`, `noise_sd` and `freedom` as in `ScaleFit`; `noise_ratio` is how many
    times noisier the noisiest tenth is than the steadiest. `largest_move` is the most by which a
    wine's score differs from the main estimate, both about their means. `table` is empty where not
    every taster marked every wine. Rooms and bottles are taken as the main estimate has them.
    """

    marks: int
    severity_sd: float
    spread_sd: float
    noise_sd: float
    freedom: float
    noise_ratio: float
    p_spread: float
    wines: tuple[ScaleWine, ...]
    largest_move: float
    table: tuple[ScaleLine, ...]
    sentence: str
