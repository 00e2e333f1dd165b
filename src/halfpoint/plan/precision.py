"""How sure a difference of two wines will be, before a mark is made.

The model is that of the estimate (y = wine + taster + site + bottle + residual).  At a site
every taster gets the same p pours, so the site's mean mark of each pour says all there is
about wines: its covariance is V = (σ²/N) I + (σ²_site + σ²_taster/N) 11ᵀ + σ²_bottle ZZᵀ with
N tasters and Z the wine of each pour.  C = Σ ZᵀV⁻¹Z over the sites is the information on the
wines, and a difference l has variance f = lᵀC⁻¹l.  Complete: 2(σ²_bottle/S + σ²/(SN)).

Its degrees of freedom are Satterthwaite's, 2f² / (∇fᵀ I⁻¹ ∇f), with I the expected REML
information ½ tr(P Vᵢ P Vⱼ) on the variances.  Complete: (S − 1)(v − 1), that of bottles in the
analysis of variance, whose mean square is what wines are held against.
References: Searle, Casella and McCulloch (1992), Variance Components, section 6.6;
Satterthwaite (1946), Biometrics Bulletin 2, 110; Giesbrecht and Burns (1985), Biometrics 41,
477.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

# A direction of the variances with less of the most information than this has none,
NO_INFORMATION = 1e-10
# and a standard error that leans on it by more than this cannot be judged.
LEANS = 1e-5


@dataclass(frozen=True, slots=True)
class Variances:
    """Variances in squared points: all at least 0, `residual` above 0."""

    taster: float
    site: float
    bottle: float
    residual: float

    def __post_init__(self) -> None:
        """Refuse what is no variance.

        Raises:
            ValueError: a variance below 0 or not finite, or no residual.
        """
        values = astuple(self)
        if not all(math.isfinite(value) and value >= 0.0 for value in values):
            raise ValueError(f'variances must be finite and at least 0: {values}')
        if self.residual <= 0.0:
            raise ValueError('the residual variance must be above 0')

    @property
    def present(self) -> NDArray[np.bool_]:
        """Which of taster, site, bottle, residual are in the model: those above 0, (4,)."""
        return np.array(astuple(self)) > 0.0


@dataclass(frozen=True, slots=True)
class PlannedSite:
    """`tasters` at one site, who all get the same `pours` (p,): numbers of wines from 0.

    A wine that stands twice is poured twice, from one bottle.
    """

    tasters: int
    pours: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Precision:
    """Of pairs of wines (m,): variance of the difference and its degrees of freedom."""

    first: Indices
    second: Indices
    variance: Floats
    df: Floats

    @property
    def se(self) -> Floats:
        """Standard errors (m,), in points."""
        return np.sqrt(self.variance)


@dataclass(frozen=True, slots=True)
class _Local:
    """What one site adds, over its k wines.

    `information` (k, k) ZᵀV⁻¹Z; `slopes` (4, k, k) ZᵀV⁻¹VᵢV⁻¹Z; `bends` (4, 4, k, k)
    ZᵀV⁻¹VᵢV⁻¹VⱼV⁻¹Z; `traces` (4, 4) tr(V⁻¹VᵢV⁻¹Vⱼ), tasters' deviations from the site's
    mean included.  In the order taster, site, bottle, residual.
    """

    information: Floats
    slopes: Floats
    bends: Floats
    traces: Floats


@lru_cache(maxsize=8)
def _local(tasters: int, repeats: tuple[int, ...], variances: Variances) -> _Local:
    """One site's part; `repeats` (k,) says how often each of its wines is poured."""
    wine = np.repeat(np.eye(len(repeats)), repeats, axis=0)
    pours = wine.shape[0]
    ones, unit = np.ones((pours, pours)), np.eye(pours)
    parts = np.array([ones / tasters, ones, wine @ wine.T, unit / tasters])
    covariance = np.tensordot(np.array(astuple(variances)), parts, 1)
    weight = np.linalg.inv(covariance)
    turned = weight @ parts
    twice = turned[:, None] @ turned[None]
    traces = np.einsum('ijaa->ij', twice) + (tasters - 1) * _within(pours, variances)
    return _Local(
        wine.T @ weight @ wine,
        wine.T @ turned @ weight @ wine,
        wine.T @ twice @ weight @ wine,
        traces,
    )


def _within(pours: int, variances: Variances) -> Floats:
    """tr(V⁻¹VᵢV⁻¹Vⱼ) (4, 4) of one taster's marks, V = σ²I + σ²_taster 11ᵀ."""
    along = variances.residual + pours * variances.taster
    found = np.zeros((4, 4))
    found[0, 0] = (pours / along) ** 2
    found[0, 3] = found[3, 0] = pours / along**2
    found[3, 3] = (pours - 1) / variances.residual**2 + 1.0 / along**2
    return found


def planned_precision(sites: Sequence[PlannedSite], wines: int, variances: Variances) -> Precision:
    """Variance and degrees of freedom of every pair of wines under a plan.

    Args:
        sites: at least two, unless the bottle variance is 0.
        wines: how many there are, v; every one is poured somewhere.
        variances: in squared points.

    Returns:
        Of all v(v−1)/2 pairs; degrees of freedom below 1 mean that the plan leaves nothing to
        judge the uncertainty by.
    """
    total = _Local(
        np.zeros((wines, wines)),
        np.zeros((4, wines, wines)),
        np.zeros((4, 4, wines, wines)),
        np.zeros((4, 4)),
    )
    for (tasters, repeats), places in _alike(sites).items():
        _add(total, _local(tasters, repeats, variances), np.array(places))
    inverse = np.asarray(np.linalg.inv(total.information), dtype=np.float64)
    first, second = np.triu_indices(wines, 1)
    turned = inverse @ total.slopes
    slopes = np.array([_difference(one @ inverse, first, second) for one in turned])
    information = 0.5 * (
        total.traces
        - 2.0 * np.einsum('ab,ijba->ij', inverse, total.bends)
        + np.einsum('iab,jba->ij', turned, turned)
    )
    variance = _difference(inverse, first, second)
    df = _freedom(variance, slopes, information, variances)
    return Precision(first, second, variance, df)


def _alike(
    sites: Sequence[PlannedSite],
) -> dict[tuple[int, tuple[int, ...]], list[list[int]]]:
    """Wines of the sites, those with as many tasters and like pours together."""
    found: dict[tuple[int, tuple[int, ...]], list[list[int]]] = defaultdict(list)
    for site in sites:
        counts = {wine: site.pours.count(wine) for wine in site.pours}
        ordered = sorted(counts, key=lambda wine: (-counts[wine], wine))
        found[site.tasters, tuple(counts[wine] for wine in ordered)].append(ordered)
    return found


def _add(total: _Local, local: _Local, places: Indices) -> None:
    """Add one kind of site, wines `places` (n, k) of each, to the sums."""
    rows, columns = places[:, :, None], places[:, None, :]
    np.add.at(total.information, (rows, columns), local.information)
    for i in range(4):
        np.add.at(total.slopes[i], (rows, columns), local.slopes[i])
        for j in range(4):
            np.add.at(total.bends[i, j], (rows, columns), local.bends[i, j])
    total.traces[:] += places.shape[0] * local.traces


def _difference(matrix: Floats, first: Indices, second: Indices) -> Floats:
    diagonal = np.diagonal(matrix)
    across = matrix[first, second] + matrix[second, first]
    return np.asarray(diagonal[first] + diagonal[second] - across)


def _freedom(variance: Floats, slopes: Floats, information: Floats, variances: Variances) -> Floats:
    """2f² / (∇fᵀ I⁻¹ ∇f) for variances (m,) with slopes (4, m), components of 0 left out."""
    present = variances.present
    size = np.array(astuple(variances))[present]
    # Relative to each component and to f, so that units do not matter.
    relative = slopes[present] * size[:, None] / variance
    scaled = information[np.ix_(present, present)] * np.outer(size, size)
    values, vectors = np.linalg.eigh(scaled)
    known = values > NO_INFORMATION * values[-1]
    along = vectors.T @ relative
    spread = np.sum(along[known] ** 2 / values[known, None], axis=0)
    # With one taster at every site, bottles and residual are one: f leans on their sum alone.
    blind = (np.abs(along[~known]) > LEANS).any(axis=0)
    return np.where(blind, 0.0, 2.0 / np.maximum(spread, 1e-300))


@dataclass(frozen=True, slots=True)
class EvenSites:
    """A tasting of like sites that share the wines out evenly.

    `sites` S of `tasters` N each; `wines` v in all, of which every site pours `each`, the
    first `second_pours` of them twice.
    """

    sites: int
    tasters: int
    wines: int
    each: int
    second_pours: int = 0

    def with_sites(self, sites: int) -> EvenSites:
        """The same with another number of sites."""
        return replace(self, sites=sites)

    def with_tasters(self, tasters: int) -> EvenSites:
        """The same with another number of tasters at each site."""
        return replace(self, tasters=tasters)


def even_precision(plan: EvenSites, variances: Variances) -> tuple[float, float]:
    """Variance of a wine difference and its degrees of freedom, alike for every pair.

    Exact for complete tastings and for balanced incomplete blocks; where no such blocks
    exist, what they would give.
    """
    repeats = (2,) * plan.second_pours + (1,) * (plan.each - plan.second_pours)
    local = _local(plan.tasters, repeats, variances)
    wines, sites = plan.wines, plan.sites
    # Averaged over the wines, a matrix is a·I + b·11ᵀ: known by two roots.
    information = sites * _roots(local.information, wines)
    slopes = sites * _roots(local.slopes, wines)
    bends = sites * _roots(local.bends, wines)
    times = np.array([wines - 1.0, 1.0])
    share = slopes / information
    expected = 0.5 * (
        sites * local.traces
        - 2.0 * (bends / information) @ times
        + np.einsum('ir,jr,r->ij', share, share, times)
    )
    variance = 2.0 / information[:1]
    steep = 2.0 * slopes[:, :1] / information[0] ** 2
    df = _freedom(variance, steep, expected, variances)
    return float(variance[0]), float(df[0])


def _roots(matrices: Floats, wines: int) -> Floats:
    """Root for contrasts of wines, and for their sum: (…, k, k) to (…, 2)."""
    trace = np.einsum('...aa->...', matrices)
    total = matrices.sum(axis=(-2, -1))
    across = (total - trace) / (wines * (wines - 1))
    own = trace / wines
    return np.stack([own - across, own + (wines - 1) * across], axis=-1)
