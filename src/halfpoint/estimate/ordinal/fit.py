"""A cumulative link model of marks as ordered steps, with and without random effects.

P(y ≤ j) = F(α_j − β_w − γ·x − a_t − r_s − c_sw), with F logistic or normal, thresholds α free
but ascending, tasters a, sites r and bottles c normal around zero.
References: McCullagh (1980), J. R. Stat. Soc. B 42, 109; Tutz and Hennevogl (1996), Comput.
Stat. Data Anal. 22, 537; Christensen (2018), Cumulative link models for ordinal regression.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import NotConverged
from halfpoint.estimate.ordinal.begin import first_spread, spread_slope, stretched
from halfpoint.estimate.ordinal.check_input import Given, check_given
from halfpoint.estimate.ordinal.fixed import LOOSE, FixedFit, fit_fixed
from halfpoint.estimate.ordinal.links import UNIT, Link
from halfpoint.estimate.ordinal.prior import Prior, no_prior, weak_prior
from halfpoint.estimate.ordinal.quadrature import ENOUGH_NODES, TasterQuadrature
from halfpoint.estimate.ordinal.rooms import RoomLaplace
from halfpoint.estimate.ordinal.rows import Rows
from halfpoint.estimate.ordinal.said import SEPARATED
from halfpoint.estimate.ordinal.search import Peak, find_peak
from halfpoint.estimate.ordinal.steps import Steps, ordered_steps

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

NODES = 7
# A standard deviation beyond this many of the link's noise is on its way to infinity.
MOST_SPREAD = 8.0


@dataclass(frozen=True, slots=True)
class OrdinalFit:
    """What ordered steps say, on the scale of the link's own noise.

    `thresholds` (k − 1,) are at the average wine; `wines` (p,) sum to zero; `covariates` (q,).
    `covariance` (k − 1 + p + q + r)² is that of all three and of the r standard deviations,
    from the observed information; it is zero for those at zero.  `spreads` tells the standard
    deviation of each random effect, zero where none could be seen, and `spread_errors` its
    standard error.  `tasters` (t,) are the most likely effects of the tasters.  `held_in`
    says that a weak prior keeps the answer finite; `loglik` is without it.
    `lowest` and `highest` (k,) are the marks of each step.  `merged` and `notes` are words.
    """

    link: Link
    nodes: int
    thresholds: Floats
    wines: Floats
    covariates: Floats
    covariance: Floats
    spreads: dict[str, float]
    spread_errors: dict[str, float]
    tasters: Floats
    loglik: float
    marks: int
    lowest: tuple[float, ...]
    highest: tuple[float, ...]
    merged: tuple[str, ...]
    notes: tuple[str, ...]
    held_in: bool
    iterations: int
    slope: float

    @property
    def wine_covariance(self) -> Floats:
        """Covariance of the wines' effects (p, p); its rows sum to zero."""
        first = self.thresholds.size
        part = slice(first, first + self.wines.size)
        return np.asarray(self.covariance[part, part])

    @property
    def threshold_errors(self) -> Floats:
        """Standard errors of the thresholds at the average wine, (k − 1,)."""
        return np.sqrt(np.diagonal(self.covariance)[: self.thresholds.size])

    @property
    def covariate_errors(self) -> Floats:
        """Standard errors of the covariates' effects, (q,)."""
        first = self.thresholds.size + self.wines.size
        return np.sqrt(np.diagonal(self.covariance)[first : first + self.covariates.size])

    @property
    def sigma_taster(self) -> float | None:
        """Standard deviation of the tasters; None where they are not in the model."""
        return self.spreads.get('taster')

    @property
    def sigma_site(self) -> float | None:
        """Standard deviation of the sites; None where they are not in the model."""
        return self.spreads.get('site')

    @property
    def sigma_bottle(self) -> float | None:
        """Standard deviation of the bottles; None where they are not in the model."""
        return self.spreads.get('bottle')


def ordinal_fit(
    marks: NDArray[np.float64] | Codes | Steps,
    wine: Codes,
    taster: Codes | None = None,
    covariates: Floats | None = None,
    *,
    site: Codes | None = None,
    bottle: Codes | None = None,
    link: Link = 'logit',
    nodes: int = NODES,
    possible: Floats | None = None,
) -> OrdinalFit:
    """Fit marks as ordered steps.

    Args:
        marks: (n,) marks or steps, of which the order alone counts; or `Steps` made of them.
        wine: (n,) codes from 0 without a gap.
        taster: (n,) codes; None for a model without random effects.
        covariates: (n, q), best centred.
        site: (n,) codes of sites, random.
        bottle: (n,) codes of bottles (a site's wine), random.
        link: 'logit' or 'probit'.
        nodes: of the quadrature, 1 for Laplace; with sites or bottles always Laplace.
        possible: every mark that could have been given, to name those that nobody gave.

    Raises:
        TooFewMarks: no marks, or one wine only.
        NoVariation: every mark is the same.
        EstimateError: arrays that do not fit together, effects that cannot be told apart.
        NotConverged: the top was not reached.
    """
    steps = marks if isinstance(marks, Steps) else ordered_steps(np.asarray(marks), possible)
    given = check_given(steps, wine, taster, covariates, site, bottle, link, nodes)
    found = _bare(given)
    if found is not None:
        return _told(given, steps, found, held_in=False)
    fixed = fit_fixed(given.rows, weak_prior(given.rows, 0))
    return _told(given, steps, _fit(given, fixed, held_in=True), held_in=True)


@dataclass(frozen=True, slots=True)
class _Found:
    """The top, the effects' values there, and how many evaluations it took."""

    peak: Peak
    tasters: Floats
    evaluations: int


def _bare(given: Given) -> _Found | None:
    """The top of the likelihood alone; None where it lies at infinity."""
    fixed = fit_fixed(given.rows, no_prior(given.rows, 0))
    if not fixed.finite:
        return None
    try:
        found = _fit(given, fixed, held_in=False)
    except NotConverged:
        # A ridge that still rises is what separation of tasters and wines together looks like.
        return None
    return None if _runs_away(given, found) else found


def _fit(given: Given, fixed: FixedFit, *, held_in: bool) -> _Found:
    """The top over the random effects that the marks were given with."""
    rows = given.rows
    groups = given.groups
    if not groups:
        return _without(given, fixed)
    prior = (weak_prior if held_in else no_prior)(rows, len(groups))
    if given.shared:
        return _with_rooms(given, fixed, prior)
    if spread_slope(rows, fixed.theta, groups[0]) <= 0.0:
        return _without(given, fixed)
    return _with_tasters(given, fixed, prior)


def _without(given: Given, fixed: FixedFit) -> _Found:
    """No random effect, or the only one at zero."""
    count = len(given.groups)
    information = np.pad(fixed.information, (0, count))
    active = np.append(np.ones(fixed.theta.size, dtype=bool), np.zeros(count, dtype=bool))
    theta, slope = np.pad(fixed.theta, (0, count)), np.pad(fixed.slope, (0, count))
    peak = Peak(theta, fixed.loglik, slope, information, active)
    return _Found(peak, np.zeros(given.tasters), fixed.iterations)


def _with_tasters(given: Given, fixed: FixedFit, prior: Prior) -> _Found:
    rows, taster = given.rows, given.groups[0]
    spread = first_spread(rows, fixed.theta, taster)
    start = stretched(rows, fixed.theta, np.array([spread]))
    model = TasterQuadrature(rows, taster, given.nodes)
    enough = given.nodes >= ENOUGH_NODES
    louis = model if enough else model.with_nodes(ENOUGH_NODES)
    observe = model.information if enough else None
    peak = find_peak(model, prior, start, louis.information, observe)
    return _Found(peak, model.tops * peak.theta[-1], model.evaluations)


def _with_rooms(given: Given, fixed: FixedFit, prior: Prior) -> _Found:
    rows, groups = given.rows, given.groups
    spreads = np.array([first_spread(rows, fixed.theta, group) for group in groups])
    # Each guess also holds what the others do.
    share = np.array([float(given.seen), *[0.6] * len(given.shared)])
    start = stretched(rows, fixed.theta, spreads * share)
    model = RoomLaplace(rows, groups[0], given.shared)
    peak = find_peak(model, prior, start, model.rough_information)
    tops = model.tops if given.seen else np.zeros(given.tasters)
    return _Found(peak, tops * peak.theta[rows.located], model.evaluations)


def _runs_away(given: Given, found: _Found) -> bool:
    """Whether a spread, or the error of a wine, is on its way to infinity."""
    rows, unit = given.rows, UNIT[given.rows.link]
    if (np.abs(found.peak.theta[rows.located :]) > MOST_SPREAD * unit).any():
        return True
    variance = np.diagonal(_inverse(found.peak))[rows.cut_points : rows.cut_points + rows.wines - 1]
    return bool((variance > (LOOSE * unit) ** 2).any() or (variance <= 0.0).any())


def _inverse(peak: Peak) -> Floats:
    """Covariance of the active parameters, zero for the others."""
    free = np.ix_(peak.active, peak.active)
    made = np.zeros_like(peak.information)
    made[free] = np.linalg.inv(peak.information[free])
    return made


def _told(given: Given, steps: Steps, found: _Found, *, held_in: bool) -> OrdinalFit:
    """From parameters against the first wine to wines around their mean."""
    rows, peak = given.rows, found.peak
    cut, located = rows.cut_points, rows.located
    centred = _centring(rows, peak.theta.size)
    told = centred @ peak.theta
    spreads = np.abs(peak.theta[located:])
    covariance = centred @ _inverse(peak) @ centred.T
    errors = np.sqrt(np.maximum(np.diagonal(covariance)[located + 1 :], 0.0))
    wines = told[cut : cut + rows.wines]
    return OrdinalFit(
        link=rows.link,
        nodes=1 if given.shared else given.nodes,
        thresholds=told[:cut],
        wines=wines,
        covariates=told[cut + rows.wines : located + 1],
        covariance=covariance,
        spreads=_named(given, spreads),
        spread_errors=_named(given, errors),
        tasters=found.tasters,
        loglik=peak.loglik,
        marks=int(rows.step.size),
        lowest=steps.lowest,
        highest=steps.highest,
        merged=steps.merged,
        notes=(*given.notes, *_notes(given, spreads, held_in=held_in)),
        held_in=held_in,
        iterations=found.evaluations,
        slope=float(np.abs(peak.slope).max()),
    )


def _named(given: Given, values: Floats) -> dict[str, float]:
    """A value for each random effect that is in the model."""
    named = dict(zip(given.names, values.tolist(), strict=True))
    return {name: value for name, value in named.items() if given.seen or name != 'taster'}


def _centring(rows: Rows, size: int) -> Floats:
    """Matrix (size + 1, size): thresholds less the mean wine, wines about it, the rest as is."""
    cut, others, wines = rows.cut_points, rows.wines - 1, rows.wines
    made = np.zeros((size + 1, size))
    made[:cut, :cut] = np.eye(cut)
    made[cut + 1 : cut + wines, cut : cut + others] = np.eye(others)
    made[: cut + wines, cut : cut + others] -= 1.0 / wines
    made[cut + wines :, cut + others :] = np.eye(size - cut - others)
    return made


_ALIKE = {
    'taster': 'No difference in severity between tasters could be seen; they are taken as alike.',
    'site': 'No difference between rooms could be seen; they are taken as alike.',
    'bottle': 'No difference between bottles of a wine could be seen; they are taken as alike.',
}


def _notes(given: Given, spreads: Floats, *, held_in: bool) -> tuple[str, ...]:
    said = [_ALIKE[name] for name, spread in _named(given, spreads).items() if spread == 0.0]
    if held_in:
        said.append(SEPARATED)
    return tuple(said)
