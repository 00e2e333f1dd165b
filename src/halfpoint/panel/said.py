"""What is said of the panel and of each taster, typed and serialisable."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class IntraclassFinding:
    """An intraclass correlation; the interval is None where marks are missing."""

    form: str
    value: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class ConcordanceFinding:
    """Kendall's W over tasters who marked every wine."""

    w: float
    chi_square: float
    df: int
    p: float
    tasters: int


@dataclass(frozen=True, slots=True)
class AlphaFinding:
    """An alpha by the name of its kind, interval where there is one."""

    kind: str
    alpha: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class SourceFinding:
    """A component of a mark's variance: as estimated, and as used (never below zero)."""

    source: str
    estimate: float
    variance: float


@dataclass(frozen=True, slots=True)
class DecisionFinding:
    """What a panel of this size would reach: ordering wines (`relative`), and their level."""

    sites: int
    tasters: int
    relative: float
    absolute: float


@dataclass(frozen=True, slots=True)
class FacetFinding:
    """A wine or category on the ruler of log odds, with how regularly it was marked."""

    name: str
    measure: float | None
    se: float | None
    infit: float | None
    outfit: float | None
    marks: int


@dataclass(frozen=True, slots=True)
class PanelFindings:
    """How good the panel is. Empty or None where the marks do not allow a figure.

    `intraclass_tasters` is how many marks a wine has on average in the forms for means;
    `sources` split one mark's variance, `decisions` follow from them.
    """

    tasters: int
    complete_tasters: int
    intraclass: tuple[IntraclassFinding, ...]
    intraclass_tasters: float | None
    concordance: ConcordanceFinding | None
    alphas: tuple[AlphaFinding, ...]
    sources: tuple[SourceFinding, ...]
    relative: float | None
    absolute: float | None
    decisions: tuple[DecisionFinding, ...]
    wine_facet: tuple[FacetFinding, ...]
    category_facet: tuple[FacetFinding, ...]
    misfits: int
    sentence: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Interval:
    """A figure with its 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class TasterFinding:
    """One taster, every figure drawn towards the panel by how little the marks can say.

    `severity` in points below the others; `spread` times the usual differences; `noise` and
    `repeatability` standard deviations in points, the latter from second pours; `telling` how far
    apart the wines are for this taster over the noise, `discrimination_p` its test where wines
    were poured twice; `agreement` the correlation with the others; `scale_used` the share of
    the scale between lowest and highest total; `complete` the share of the wines poured at the
    site that were marked. `withheld` says that there are too few marks to publish any.
    """

    taster: str
    site: str | None
    marks: int
    wines: int
    complete: float
    withheld: bool
    severity: Interval | None
    spread: Interval | None
    noise: Interval | None
    telling: float | None
    agreement: Interval | None
    repeatability: float | None
    second_pours: int
    discrimination_p: float | None
    scale_used: float | None
    infit: float | None
    outfit: float | None
