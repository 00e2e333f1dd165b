"""How often a true difference of two wines is told: power by the noncentral t.

A difference d with standard error se and ν degrees of freedom is told apart when |t| passes
the two-sided critical value.  With a true difference, t is noncentral t with parameter d/se.
All pairs at once: the critical value is Tukey's, q(α; v, ν)/√2 with q the quantile of the
studentised range, exact when all pairs are alike and never too lax otherwise.
References: Johnson, Kotz and Balakrishnan (1995), Continuous Univariate Distributions 2,
chapter 31; Kramer (1956), Biometrics 12, 307; Hayter (1984), Annals of Statistics 12, 61.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.polynomial import Chebyshev
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq
from scipy.special import nctdtr, ndtr, stdtrit

from halfpoint.plan.precision import EvenSites, Precision, Variances, even_precision
from halfpoint.plan.studentised import studentised_quantile

Floats = NDArray[np.float64]
Pairs = Literal['one', 'all']

# Beyond this noncentrality the wrong tail is nothing (below 1e-9); SciPy gives no number
# where a tail is too small for it.
FAR = 6.0
# More different degrees of freedom than this are interpolated, in 1/ν.
MOST_QUANTILES = 10
MOST_SITES = 10_000
MOST_TASTERS = 1_000


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: a `difference` in points, judged at `alpha` two-sided.

    `pairs` is 'one' for two wines chosen beforehand, 'all' to allow for every pair of them;
    `power` is how often is often enough.
    """

    difference: float
    alpha: float = 0.05
    pairs: Pairs = 'one'
    power: float = 0.8


@dataclass(frozen=True, slots=True)
class Prospect:
    """What a tasting would tell of two wines.

    `se` and `df` of their difference; `power` for the difference asked about; `detectable`
    the least difference told apart as often as was asked.
    """

    se: float
    df: float
    power: float
    detectable: float


@dataclass(frozen=True, slots=True)
class PlanProspect:
    """A prospect over all pairs of a plan: the average, and from the worst to the best pair."""

    average: Prospect
    worst: Prospect
    best: Prospect


def critical_t(df: ArrayLike, wines: int, question: Question) -> Floats:
    """The |t| to pass, for degrees of freedom of any shape; infinite below 1 of them."""
    known = np.maximum(np.asarray(df, dtype=float), 1.0)
    if question.pairs == 'one' or wines == 2:
        found = stdtrit(known, 1.0 - question.alpha / 2.0)
    else:
        found = _tukey(known, wines, question.alpha) / np.sqrt(2.0)
    return np.where(np.asarray(df) < 1.0 - 1e-6, np.inf, found)


def _tukey(df: Floats, wines: int, alpha: float) -> Floats:
    inverse = np.unique(np.round(1.0 / df, 9))
    if inverse.size > MOST_QUANTILES:
        curve = Chebyshev.interpolate(
            lambda x: np.log([studentised_quantile(float(1.0 / each), wines, alpha) for each in x]),
            MOST_QUANTILES - 1,
            domain=[float(inverse[0]), float(inverse[-1])],
        )
        return np.asarray(np.exp(curve(1.0 / df)))
    found = {each: studentised_quantile(1.0 / each, wines, alpha) for each in inverse.tolist()}
    return np.asarray([found[each] for each in np.round(1.0 / df, 9).ravel()]).reshape(df.shape)


def power_of(noncentrality: ArrayLike, df: ArrayLike, critical: ArrayLike) -> Floats:
    """P(|t| > critical) of the noncentral t, arrays of one shape.

    Where SciPy's distribution has no answer (far out, small ν) the normal approximation of
    Abramowitz and Stegun 26.7.10 stands in.
    """
    centre, nu, bound = (np.asarray(x, dtype=float) for x in (noncentrality, df, critical))
    usable = np.where(np.isfinite(bound), bound, 1.0)
    nu = np.maximum(nu, 1.0)
    below = np.nan_to_num(nctdtr(nu, np.minimum(centre, FAR), -usable))
    inside = nctdtr(nu, centre, usable)
    z = (usable * (1.0 - 0.25 / nu) - centre) / np.sqrt(1.0 + usable**2 / (2.0 * nu))
    inside = np.where(np.isnan(inside), ndtr(z), inside)
    return np.where(np.isfinite(bound), np.clip(1.0 - inside + below, 0.0, 1.0), 0.0)


def detectable_noncentrality(df: float, critical: float, power: float) -> float:
    """The noncentrality at which `power` is reached; infinite when it never is."""
    if not np.isfinite(critical):
        return float('inf')

    def short(centre: float) -> float:
        return float(power_of(centre, df, critical)) - power

    high = critical + 4.0
    while short(high) < 0.0:
        high *= 2.0
    return float(brentq(short, 0.0, high, xtol=1e-10, rtol=1e-12))


def prospect_of(se: float, df: float, wines: int, question: Question) -> Prospect:
    """The prospect of a difference with this standard error and these degrees of freedom."""
    critical = float(critical_t(df, wines, question))
    reach = detectable_noncentrality(df, critical, question.power)
    power = float(power_of(question.difference / se, df, critical))
    return Prospect(se, df, power, reach * se)


def even_prospect(plan: EvenSites, variances: Variances, question: Question) -> Prospect:
    """The prospect of like sites that share the wines out evenly."""
    variance, df = even_precision(plan, variances)
    return prospect_of(variance**0.5, df, plan.wines, question)


def plan_prospect(precision: Precision, wines: int, question: Question) -> PlanProspect:
    """The prospect of a plan: average standard error and power, and the pairs at the ends.

    The average standard error is the root of the average variance, which is what the plan's
    search makes small.
    """
    df = float(np.median(precision.df))
    average = prospect_of(float(precision.variance.mean()) ** 0.5, df, wines, question)
    if np.ptp(precision.variance) <= 1e-9 * precision.variance[0]:
        return PlanProspect(average, average, average)
    critical = critical_t(precision.df, wines, question)
    powers = power_of(question.difference / precision.se, precision.df, critical)
    ends = (int(np.argmax(precision.variance)), int(np.argmin(precision.variance)))
    worst, best = (
        prospect_of(float(precision.se[i]), float(precision.df[i]), wines, question) for i in ends
    )
    mean = Prospect(average.se, df, float(powers.mean()), average.detectable)
    return PlanProspect(mean, worst, best)


def needed_sites(
    plan: EvenSites, variances: Variances, question: Question, *, least: int = 2
) -> int | None:
    """Fewest like sites, `least` or more, that tell it often enough; None beyond 10,000."""

    def enough(sites: int) -> bool:
        return _reaches(plan.with_sites(sites), variances, question)

    return _fewest(enough, least, MOST_SITES)


def needed_tasters(plan: EvenSites, variances: Variances, question: Question) -> int | None:
    """Fewest tasters at each of these sites that tell it often enough.

    None when no number does: what bottles add does not shrink with tasters.
    """

    def enough(tasters: int) -> bool:
        return _reaches(plan.with_tasters(tasters), variances, question)

    return _fewest(enough, 1, MOST_TASTERS)


def _reaches(plan: EvenSites, variances: Variances, question: Question) -> bool:
    return even_prospect(plan, variances, question).power >= question.power


def _fewest(enough: Callable[[int], bool], low: int, most: int) -> int | None:
    """Smallest number in [low, most] that is enough, all larger ones being so too."""
    high = low
    while not enough(high):
        if high == most:
            return None
        low, high = high + 1, min(2 * high + 1, most)
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle + 1, high)
    return low


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """The prospect of so many sites of so many tasters."""

    sites: int
    tasters: int
    se: float
    df: float
    power: float
    detectable: float


def power_curve(
    plan: EvenSites,
    variances: Variances,
    question: Question,
    *,
    sites: Iterable[int],
    tasters: Iterable[int],
) -> tuple[CurvePoint, ...]:
    """Every number of tasters at every number of sites, sites going faster."""
    cells = [(s, n) for n in tasters for s in sites]
    found = [even_precision(plan.with_sites(s).with_tasters(n), variances) for s, n in cells]
    se = np.sqrt([variance for variance, _ in found])
    df = np.array([freedom for _, freedom in found])
    critical = critical_t(df, plan.wines, question)
    power = power_of(question.difference / se, df, critical)
    reach = [
        detectable_noncentrality(nu, bound, question.power)
        for nu, bound in zip(df.tolist(), critical.tolist(), strict=True)
    ]
    return tuple(
        CurvePoint(s, n, float(e), float(nu), float(p), float(r * e))
        for (s, n), e, nu, p, r in zip(cells, se, df, power, reach, strict=True)
    )


ROUND_NUMBERS = (
    1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 120, 150, 200, 250, 300,
    400, 500, 600, 800, 1_000, 1_500, 2_000, 3_000, 5_000, 10_000,
)  # fmt: skip


def numbers_around(middle: int, least: int, most: int, count: int = 5) -> tuple[int, ...]:
    """So many round numbers within [least, most] about a number, itself among them."""
    usable = sorted({middle, *(n for n in ROUND_NUMBERS if least <= n <= most)})
    start = usable.index(middle) - count // 2
    start = max(0, min(start, len(usable) - count))
    return tuple(usable[start : start + count])
