"""Everything the result says, typed and serialisable: what publish, serve and cli read."""

from __future__ import annotations

from dataclasses import dataclass

from halfpoint.aroma.said import AromaFindings
from halfpoint.estimate.ordinal.said import OrdinalFindings
from halfpoint.estimate.scale.said import ScaleFindings
from halfpoint.panel.said import PanelFindings, TasterFinding


@dataclass(frozen=True, slots=True)
class WineFinding:
    """One wine's score. `rank_probability[k]` is the chance that the wine's place is k + 1.

    `rank_low` to `rank_high` is the 90 % interval of places; `letters` are shared by
    wines that the marks cannot tell apart. Fields are None (or empty) where the tasting
    is not connected, because then no joint order exists.
    """

    wine: str
    tasters: int
    sites: int
    marks: int
    raw_mean: float
    adjusted: float | None = None
    se: float | None = None
    df: float | None = None
    low: float | None = None
    high: float | None = None
    shrunken: float | None = None
    rank_low: int | None = None
    rank_high: int | None = None
    rank_probability: tuple[float, ...] = ()
    p_best: float | None = None
    letters: str = ''


@dataclass(frozen=True, slots=True)
class PairFinding:
    """Wine `a` less wine `b`; `low` to `high` and `p_adjusted` hold over all pairs at once."""

    a: str
    b: str
    difference: float
    se: float
    df: float | None
    p: float
    p_adjusted: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ComponentFinding:
    """A variance component with its profile-likelihood 95 % interval (points squared)."""

    variance: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class CovariateFinding:
    """What one unit more of a covariate (or one level of it) adds, in points."""

    covariate: str
    level: str | None
    estimate: float
    se: float
    df: float | None
    t: float
    p: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class WineTest:
    """F test that all wines are alike (Satterthwaite denominator)."""

    f: float
    num_df: float
    den_df: float
    p: float


@dataclass(frozen=True, slots=True)
class BottleFinding:
    """The predicted effect of one site's bottle of a wine, in points."""

    site: str
    wine: str
    effect: float
    se: float


@dataclass(frozen=True, slots=True)
class FaultTicks:
    """How many entries ticked a fault for this bottle, and for the wine elsewhere."""

    here: int
    entries_here: int
    elsewhere: int
    entries_elsewhere: int
    p: float


@dataclass(frozen=True, slots=True)
class SuspectBottle:
    """One site's bottle of a wine, in points below (negative) what was to be expected.

    `p` is that of an ordinary bottle lying so low, fault ticks taken into account where there are
    any; `p_adjusted` holds the share of false suggestions (Benjamini and Hochberg) over all
    bottles of the tasting. `suggested` also asks for a least size that matters.
    """

    site: str
    wine: str
    shift: float
    se: float
    df: float
    low: float
    high: float
    marks: int
    p_marks: float
    faults: FaultTicks | None
    p: float
    p_adjusted: float
    suggested: bool


@dataclass(frozen=True, slots=True)
class Histogram:
    """Counts between successive `edges` (one edge more than counts)."""

    edges: tuple[float, ...]
    counts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class MarkFindings:
    """What one kind of mark (the total, or one category) says."""

    key: str
    label: str
    top: float | None
    marks: int
    mean: float
    sd: float
    wines: tuple[WineFinding, ...]
    pairs: tuple[PairFinding, ...]
    components: dict[str, ComponentFinding]
    criterion: float | None
    covariates: tuple[CovariateFinding, ...]
    wine_test: WineTest | None
    severity: Histogram | None
    bottles: tuple[BottleFinding, ...]
    notes: tuple[str, ...]
    ordinal: OrdinalFindings | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """Wines that can be compared among themselves but with no others, and their result."""

    wines: tuple[str, ...]
    tasters: int
    marks: int
    result: MarkFindings | None


@dataclass(frozen=True, slots=True)
class HeldFinding:
    """A row received but not accepted."""

    file: str
    row: int
    field: str
    found: str
    expected: str


@dataclass(frozen=True, slots=True)
class SetAsideFinding:
    """An entry kept but left out, by whom and why."""

    taster: str
    wine: str
    who: str
    why: str


@dataclass(frozen=True, slots=True)
class AuditFinding:
    """Pages from paper looked at a second time.

    With `confidence` fewer than the share `marks_below` of the marks, and `boxes_below` of the
    boxes, that were taken without a person are wrong.
    """

    pages: int
    marks: int
    boxes: int
    wrong_marks: int
    wrong_boxes: int
    confidence: float
    marks_below: float
    boxes_below: float


@dataclass(frozen=True, slots=True)
class Findings:
    """The whole result. `total` is the main mark; `categories` the same for each category.

    `suspects` are bottles that may be spoiled, `by_taster` a record a taster; what was not asked
    for, or what the marks do not allow, is None or empty.
    """

    title: str
    sheet: str
    source: str
    invented: bool
    version: str
    seed: int
    form: str
    effects: tuple[str, ...]
    marks: int
    tasters: int
    sites: int
    connected: bool
    parts: tuple[Part, ...]
    total: MarkFindings
    categories: dict[str, MarkFindings]
    held: tuple[HeldFinding, ...]
    set_aside: tuple[SetAsideFinding, ...]
    notes: tuple[str, ...]
    audit: AuditFinding | None = None
    suspects: tuple[SuspectBottle, ...] = ()
    scale: ScaleFindings | None = None
    panel: PanelFindings | None = None
    by_taster: tuple[TasterFinding, ...] = ()
    aroma: AromaFindings | None = None
