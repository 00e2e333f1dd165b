"""Tasters within sites: the criterion's sums from the moments, site by site.

Per site, with C the indicators of its wines: taking out the tasters gives
M = A − Σ_k φ/(1+kφ) B_k and N = X̃ᵀWZ_tZ_tᵀWX̃ = Σ_k (1+kφ)⁻² B_k.  The room and its
bottles share the columns C with covariance G = φ_site 11ᵀ + φ_bottle I, whose square root
is known in closed form, so that one batch of small factorisations does all sites.
Derivation: docs/explanation/the-estimate.md; the algebra is that of `absorb`.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.absorb import Absorbed, Reduced, absorb
from halfpoint.estimate.moments import Block, Moments
from halfpoint.estimate.recent import Recent

Floats = NDArray[np.float64]

NESTED_EFFECTS = ('taster', 'site', 'bottle')


@dataclass(frozen=True, slots=True)
class _Sites:
    """A block with everything absorbed: `whole` (S, d, d) is X̃ᵀV⁻¹X̃ of each site."""

    logdet: float
    whole: Floats
    gain: Floats
    filtered: Floats
    between: Floats
    taster_trace: float


class NestedLayout:
    """Evaluates the sums for tasters within sites; wines fixed or random.

    Args:
        moments: of one kind of mark.
        effects: which of taster, site, bottle are in the model, in the order of the ratios.
        random_wines: whether wines are random; their ratio then comes last.
    """

    def __init__(self, moments: Moments, effects: tuple[str, ...], *, random_wines: bool) -> None:
        self.moments = moments
        self.effects = (*effects, 'wine') if random_wines else effects
        self.marks = moments.marks
        self.random_wines = random_wines
        self._site_effects = effects
        # By the ratios of what is absorbed site by site, whatever is taken of the wines.
        self._recent = Recent(self._absorb_sites, 2 * len(self.effects) + 2)
        self._wines = len(moments.wines)
        self._width = self._wines + moments.covariates + 1
        self._spread = [
            _Spread(self._global_columns(block), self._width) for block in moments.blocks
        ]

    def with_random_wines(self) -> NestedLayout:
        """The same with wines random; what is worked out site by site is shared."""
        made = copy(self)
        made.effects, made.random_wines = (*self._site_effects, 'wine'), True
        return made

    def evaluate(self, ratios: Floats) -> Reduced:
        """Sums with every random effect taken out, at variance ratios (k,)."""
        within = self._within(ratios)
        return self.absorb_wines(within, ratios).reduced if self.random_wines else within

    def absorb_wines(self, within: Reduced, ratios: Floats) -> Absorbed:
        """Take random wines out of the sums in which they are still columns."""
        columns = np.arange(self._wines)
        keep = np.zeros((self._width, self._width - self._wines + 1))
        keep[: self._wines, 0] = 1.0
        keep[self._wines :, 1:] = np.eye(self._width - self._wines)
        return absorb(within, columns, np.full(self._wines, ratios[-1]), (columns,), keep)

    def wine_part(self, ratios: Floats) -> tuple[Reduced, Floats, Floats]:
        """For random wines: the sums, K over wines (p, p) and K M_zx of wines (p, d)."""
        done = self.absorb_wines(self._within(ratios), ratios)
        return done.reduced, done.gain, done.pull

    def site_parts(self, ratios: Floats) -> list[tuple[Block, Floats, Floats]]:
        """For each block: its X̃ᵀV⁻¹X̃ (S, d, d) and K (S, w, w), for predictions."""
        taster, site, bottle = self._ratios_of(ratios)
        parts = []
        for block in self.moments.blocks:
            done = _reduce_sites(block, taster, site, bottle)
            parts.append((block, done.whole, done.gain))
        return parts

    def _within(self, ratios: Floats) -> Reduced:
        return self._recent(ratios[: len(self._site_effects)])

    def _ratios_of(self, ratios: Floats) -> tuple[float, float, float]:
        by_name = dict(zip(self._site_effects, ratios.tolist(), strict=False))
        return (
            by_name.get('taster', 0.0),
            by_name.get('site', 0.0),
            by_name.get('bottle', 0.0),
        )

    def _global_columns(self, block: Block) -> NDArray[np.int64]:
        """Where each site's columns stand among all wines, covariates and the mark."""
        others = np.arange(self._wines, self._width)
        return np.hstack([block.cells, np.broadcast_to(others, (len(block.sites), others.size))])

    def _absorb_sites(self, ratios: Floats) -> Reduced:
        taster, site, bottle = self._ratios_of(ratios)
        logdet = 0.0
        gram = np.zeros((self._width, self._width))
        traces = np.zeros(len(self._site_effects))
        slopes = np.zeros((len(self._site_effects), self._width, self._width))
        for block, spread in zip(self.moments.blocks, self._spread, strict=True):
            done = _reduce_sites(block, taster, site, bottle)
            logdet += done.logdet
            gram += spread.add(done.whole)
            for at, effect in enumerate(self._site_effects):
                trace, slope = _slope(effect, done, block.cells.shape[1])
                traces[at] += trace
                slopes[at] += spread.add(slope)
        return Reduced(logdet, gram, traces, slopes)


def _reduce_sites(block: Block, taster: float, site: float, bottle: float) -> _Sites:
    """Absorb tasters, rooms and bottles of all sites of a block at once."""
    wines = block.cells.shape[1]
    shrink = 1.0 + block.counts * taster
    inner = block.products - np.einsum('k,skij->sij', taster / shrink, block.sums)
    between = np.einsum('k,skij->sij', shrink**-2, block.sums)
    logdet = float((block.tasters * np.log(shrink)).sum())
    trace = float((block.tasters * (block.counts / shrink)).sum())
    own = inner[:, :wines, :wines]

    along = np.sqrt(bottle + wines * site)
    root = np.full((wines, wines), (along - np.sqrt(bottle)) / wines)
    root[np.diag_indices(wines)] += np.sqrt(bottle)
    middle = root @ own @ root
    middle[:, np.arange(wines), np.arange(wines)] += 1.0
    factor = np.linalg.cholesky(middle)
    logdet += 2.0 * float(np.log(np.diagonal(factor, axis1=1, axis2=2)).sum())
    gain = root @ np.linalg.inv(middle) @ root

    pull = gain @ inner[:, :wines, :]
    whole = inner - inner[:, :, :wines] @ pull
    filtered = np.broadcast_to(np.eye(inner.shape[1]), inner.shape).copy()
    filtered[:, :wines, :] -= pull
    trace -= float(np.vdot(gain, between[:, :wines, :wines]))
    return _Sites(logdet, whole, gain, filtered, between, trace)


def _slope(effect: str, done: _Sites, wines: int) -> tuple[float, Floats]:
    """Trace and X̃ᵀV⁻¹ZZᵀV⁻¹X̃ of one effect, site by site."""
    to_wines = done.whole[:, :wines, :]
    if effect == 'taster':
        slope = done.filtered.transpose(0, 2, 1) @ done.between @ done.filtered
        return done.taster_trace, slope
    if effect == 'site':
        summed = to_wines.sum(axis=1)
        return float(summed[:, :wines].sum()), summed[:, :, None] * summed[:, None, :]
    trace = float(np.trace(done.whole[:, :wines, :wines], axis1=1, axis2=2).sum())
    return trace, to_wines.transpose(0, 2, 1) @ to_wines


class _Spread:
    """Adds each site's (d, d) into the columns of all wines that it stands for."""

    def __init__(self, index: NDArray[np.int64], width: int) -> None:
        self.width = width
        self.alike = bool((index == index[0]).all())
        self.whole = self.alike and np.array_equal(index[0], np.arange(width))
        self.grid = np.ix_(index[0], index[0])
        self.flat = (index[:, :, None] * width + index[:, None, :]).ravel()

    def add(self, parts: Floats) -> Floats:
        """The sum over sites of `parts` (S, d, d), as (width, width)."""
        if self.whole:
            return np.asarray(parts.sum(axis=0))
        if self.alike:
            made = np.zeros((self.width, self.width))
            made[self.grid] = parts.sum(axis=0)
            return made
        summed = np.bincount(self.flat, weights=parts.ravel(), minlength=self.width**2)
        return np.asarray(summed.reshape(self.width, self.width), dtype=np.float64)
