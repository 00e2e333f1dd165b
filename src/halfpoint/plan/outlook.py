"""The outlook of a tasting: what it would tell of two wines, and what would be enough."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass, fields, replace
from types import MappingProxyType
from typing import Literal

from halfpoint.plan.past import Pooled
from halfpoint.plan.power import (
    MOST_SITES,
    MOST_TASTERS,
    CurvePoint,
    PlanProspect,
    Prospect,
    Question,
    even_prospect,
    needed_sites,
    needed_tasters,
    numbers_around,
    plan_prospect,
    power_curve,
)
from halfpoint.plan.precision import EvenSites, PlannedSite, Variances, planned_precision

LEAST_SHARE = 0.1

Source = Literal['option', 'tasting file', 'past tasting', 'default']


@dataclass(frozen=True, slots=True)
class Seen:
    """What one past tasting showed of a component: standard deviation and its error, points."""

    title: str
    sd: float
    se: float


@dataclass(frozen=True, slots=True)
class Assumed:
    """A variance that was assumed, its square root in points, and where it comes from.

    Where past tastings told it, `low` to `high` is where the standard deviation of the next one
    lies 95 times in 100, and `seen` what each of them showed.
    """

    variance: float
    sd: float
    source: Source
    low: float | None = None
    high: float | None = None
    seen: tuple[Seen, ...] = ()


@dataclass(frozen=True, slots=True)
class Past:
    """What past tastings showed of a component, each and together."""

    seen: tuple[Seen, ...]
    pooled: Pooled


@dataclass(frozen=True, slots=True)
class Simulation:
    """How often simulated tastings told the difference, beside the formula.

    `told` of `fitted` tastings, of `tastings` simulated; `share` with its Monte Carlo
    standard error; `formula` what was foreseen.  `alike` is the share of two wines without
    any difference that were told apart all the same, None with fewer than four wines.
    """

    tastings: int
    fitted: int
    told: int
    share: float
    share_se: float
    formula: float
    alike: float | None
    alike_se: float | None


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a planned tasting would tell of two wines.

    `one_pair` and `all_pairs` are the prospects with either way of asking; what was asked
    for (`pairs`) also stands at the top.  `if_more` and `if_less` are the prospects with all
    that past tastings told at the far and at the near end of its range, None without them.
    `curve` is for like sites.  Points throughout.
    """

    title: str | None
    version: str
    sites: int
    tasters: int
    fewest_at_a_site: int
    most_at_a_site: int
    wines: int
    fewest_wines_at_a_site: int
    most_wines_at_a_site: int
    difference: float
    alpha: float
    pairs: str
    power_wanted: float
    standard_error: float
    degrees_of_freedom: float
    power: float
    least_detectable_difference: float
    worst_pair: Prospect
    best_pair: Prospect
    one_pair: Prospect
    all_pairs: Prospect
    needed_sites: int | None
    needed_tasters_at_a_site: int | None
    components: dict[str, Assumed]
    if_more: Prospect | None
    if_less: Prospect | None
    curve: tuple[CurvePoint, ...]
    simulation: Simulation | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tried:
    """The tasting whose outlook is asked for.

    `even` describes it as like sites, for what other numbers would give; `sites` site by
    site, None when it is made of like sites that share the wines out evenly.
    """

    even: EvenSites
    sites: tuple[PlannedSite, ...] | None = None
    title: str | None = None

    @property
    def tasters(self) -> tuple[int, ...]:
        """Tasters at each site."""
        if self.sites is None:
            return (self.even.tasters,) * self.even.sites
        return tuple(site.tasters for site in self.sites)

    @property
    def wines(self) -> tuple[int, ...]:
        """Different wines poured at each site."""
        if self.sites is None:
            return (self.even.each,) * self.even.sites
        return tuple(len(set(site.pours)) for site in self.sites)


def least_sites(even: EvenSites) -> int:
    """Fewest sites that can link all wines; 1 only for what is one site already."""
    return max(min(2, even.sites), math.ceil((even.wines - 1) / (even.each - 1)))


def outlook_of(
    tried: Tried,
    variances: Variances,
    question: Question,
    *,
    sources: dict[str, Source],
    past: Mapping[str, Past] = MappingProxyType({}),
    version: str,
    notes: Sequence[str] = (),
) -> Outlook:
    """Everything that is foreseen of a tasting.

    Args:
        tried: the tasting.
        variances: what is assumed to vary.
        question: what is asked.
        sources: where each of the variances comes from.
        past: what past tastings told, of those whose source they are.
        version: of halfpoint.
        notes: carried into the outlook.
    """
    even = tried.even
    chosen = _prospect(tried, variances, question)
    other = {
        pairs: chosen.average
        if pairs == question.pairs
        else _prospect(tried, variances, replace(question, pairs=pairs)).average
        for pairs in ('one', 'all')
    }
    tasters, wines = tried.tasters, tried.wines
    least = least_sites(even)
    return Outlook(
        title=tried.title,
        version=version,
        sites=len(tasters),
        tasters=sum(tasters),
        fewest_at_a_site=min(tasters),
        most_at_a_site=max(tasters),
        wines=even.wines,
        fewest_wines_at_a_site=min(wines),
        most_wines_at_a_site=max(wines),
        difference=question.difference,
        alpha=question.alpha,
        pairs=question.pairs,
        power_wanted=question.power,
        standard_error=chosen.average.se,
        degrees_of_freedom=chosen.average.df,
        power=chosen.average.power,
        least_detectable_difference=chosen.average.detectable,
        worst_pair=chosen.worst,
        best_pair=chosen.best,
        one_pair=other['one'],
        all_pairs=other['all'],
        needed_sites=needed_sites(even, variances, question, least=least),
        needed_tasters_at_a_site=needed_tasters(even, variances, question),
        components=_assumed(variances, sources, past),
        if_more=_at_ends(tried, variances, question, {k: p.pooled.high for k, p in past.items()}),
        if_less=_at_ends(tried, variances, question, {k: p.pooled.low for k, p in past.items()}),
        curve=power_curve(
            even,
            variances,
            question,
            sites=numbers_around(max(even.sites, least), least, MOST_SITES),
            tasters=numbers_around(even.tasters, 1, MOST_TASTERS),
        ),
        simulation=None,
        notes=tuple(notes),
    )


def _prospect(tried: Tried, variances: Variances, question: Question) -> PlanProspect:
    if tried.sites is None:
        found = even_prospect(tried.even, variances, question)
        return PlanProspect(found, found, found)
    precision = planned_precision(tried.sites, tried.even.wines, variances)
    return plan_prospect(precision, tried.even.wines, question)


def _at_ends(
    tried: Tried, variances: Variances, question: Question, sds: Mapping[str, float]
) -> Prospect | None:
    """The average prospect with these standard deviations in place of what is assumed."""
    if not sds:
        return None
    squares = {name: sd**2 for name, sd in sds.items()}
    # One mark never is as the next, however low its range goes.
    if 'residual' in squares:
        squares['residual'] = max(squares['residual'], (LEAST_SHARE**2) * variances.residual)
    return _prospect(tried, replace(variances, **squares), question).average


def _assumed(
    variances: Variances, sources: dict[str, Source], past: Mapping[str, Past]
) -> dict[str, Assumed]:
    found = {
        field.name: Assumed(value, math.sqrt(value), sources[field.name])
        for field, value in zip(fields(Variances), astuple(variances), strict=True)
    }
    for name, told in past.items():
        ends = (told.pooled.low, told.pooled.high)
        found[name] = replace(found[name], low=ends[0], high=ends[1], seen=told.seen)
    return found
