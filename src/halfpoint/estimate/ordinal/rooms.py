"""Tasters, sites and bottles at once, integrated out by Laplace's approximation.

With u the effects in units of their standard deviations and g(u) = Σ log P(y | η + zᵀu) −
|u|²/2, the log-likelihood is g(û) − ½ log|H|, H = −g″ at the top û.  H has a diagonal for the
tasters and a small dense block a site, so tasters are eliminated first and each site next.
The gradient is that of the approximation itself, through the top (adjoint) and through H.
Reference: Bates, Mächler, Bolker and Walker (2015), J. Stat. Softw. 67(1), section 3, for
effects in units of their standard deviations; Skaug and Fournier (2006), Comput. Stat. Data
Anal. 51, 699, for the gradient.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import NotConverged
from halfpoint.estimate.ordinal.blocks import make_blocks
from halfpoint.estimate.ordinal.links import Cells, Cuts, cells
from halfpoint.estimate.ordinal.rows import Rows

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

MOST_STEPS = 60
MOST_HALVINGS = 25
# What a step may leave undone: its size times how fast steps shrink.
SMALL = 1e-11
# Steps that do not shrink this much ask for a curvature of their own.
SHRINKING = 0.2


@dataclass(frozen=True, slots=True)
class Effects:
    """Values for tasters (b, t) and for what they share (b, m)."""

    tasters: Floats
    shared: Floats

    def plus(self, other: Effects, share: float) -> Effects:
        """This and a share of another."""
        return Effects(self.tasters + share * other.tasters, self.shared + share * other.shared)

    def largest(self) -> float:
        """The largest absolute value."""
        return max(float(np.abs(self.tasters).max()), float(np.abs(self.shared).max()))

    def times(self, other: Effects) -> float:
        """The inner product."""
        return float(np.vdot(self.tasters, other.tasters) + np.vdot(self.shared, other.shared))


@dataclass(frozen=True, slots=True)
class Curvature:
    """H after elimination: diagonal (b, t), cross over it (b, t, m), inverse rest (b, m, m)."""

    own: Floats
    ratio: Floats
    rest: Floats
    log_determinant: float

    def solve(self, right: Effects) -> Effects:
        """H⁻¹ times a right side."""
        pulled = np.einsum('btm,bt->bm', self.ratio, right.tasters)
        rest = np.einsum('bml,bl->bm', self.rest, right.shared - pulled)
        own = right.tasters / self.own - np.einsum('btm,bm->bt', self.ratio, rest)
        return Effects(own, rest)


@dataclass(frozen=True, slots=True)
class Spreads:
    """Standard deviations: of tasters, and what each place adds per shared effect (b, p, m)."""

    taster: float
    loads: Floats


class RoomLaplace:
    """The Laplace log-likelihood of θ = (located parameters, σ taster, σ of the others)."""

    def __init__(self, rows: Rows, taster: Codes, shared: tuple[Codes, ...]) -> None:
        self.rows = rows
        self.evaluations = 0
        self._blocks = blocks = make_blocks(taster, shared)
        self._unit_loads = [blocks.loads(k) for k in range(len(shared))]
        self._top = Effects(
            np.zeros((blocks.count, blocks.tasters)), np.zeros((blocks.count, blocks.shared))
        )
        self._last: Curvature | None = None

    @property
    def spreads(self) -> int:
        """The number of standard deviations in θ."""
        return 1 + len(self._unit_loads)

    @property
    def tops(self) -> Floats:
        """Every taster's effect at the last evaluation, in units of its σ."""
        return np.asarray(self._top.tasters.ravel()[self._blocks.of_taster])

    def shared_tops(self, which: int) -> Floats:
        """The same for the levels of the other effect number `which`."""
        return np.asarray(self._top.shared.ravel()[self._blocks.of_shared[which]])

    def height(self, theta: Floats) -> tuple[float, Floats]:
        """Log-likelihood and its gradient."""
        self.evaluations += 1
        cuts, eta, spreads = self._at(theta)
        self._climb(cuts, eta, spreads)
        at = cells(self.rows.link, cuts, self._shifted(eta, spreads, self._top), 3)
        fine = self._by_cell(at.weight)
        self._last = _curvature(fine, spreads)
        value = self._height(at, self._top) - 0.5 * self._last.log_determinant
        return value, self._gradient(at, spreads, fine, self._last)

    def rough_information(self, theta: Floats) -> Floats:
        """Information near enough to start a search with: H's own change with θ is left out."""
        rows = self.rows
        cuts, eta, spreads = self._at(theta)
        self._climb(cuts, eta, spreads)
        at = cells(rows.link, cuts, self._shifted(eta, spreads, self._top), 2)
        fine = self._by_cell(at.weight)
        curvature = _curvature(fine, spreads)
        made = np.zeros((theta.size, theta.size))
        located = -rows.curvature(at.ab, at.ea, at.eb)
        columns = [self._pull(column, spreads) for column in rows.columns(at.ea, at.eb)]
        for j, column in enumerate(columns):
            solved = curvature.solve(column)
            located[:, j] -= [other.times(solved) for other in columns]
        made[: rows.located, : rows.located] = located
        sums = _over_tasters(fine)
        weights = [_over_places(fine), *(_by_effect(load, sums) for load in self._unit_loads)]
        for k, weight in enumerate(weights, start=rows.located):
            tight = theta[k] * weight / (1.0 + theta[k] ** 2 * weight)
            made[k, k] = max(1.0, 2.0 * float(np.vdot(tight, tight)))
        return made

    def _at(self, theta: Floats) -> tuple[Cuts, Floats, Spreads]:
        rows = self.rows
        sigmas = theta[rows.located :]
        loads = [s * load for s, load in zip(sigmas[1:], self._unit_loads, strict=True)]
        spreads = Spreads(float(sigmas[0]), np.asarray(np.sum(loads, axis=0)))
        return rows.cuts(theta), rows.eta(theta), spreads

    def _height(self, at: Cells, effects: Effects) -> float:
        """The log-likelihood of the marks and of the effects together, g."""
        return float(at.log_p.sum()) - 0.5 * effects.times(effects)

    def _by_cell(self, values: Floats) -> Floats:
        """Sums for each taster at each place, (b, t, p)."""
        blocks = self._blocks
        shape = (blocks.count, blocks.tasters, blocks.places)
        sums = np.bincount(blocks.cell, values, int(np.prod(shape)))
        return np.asarray(sums.reshape(shape), dtype=np.float64)

    def _shifted(self, eta: Floats, spreads: Spreads, at: Effects) -> Floats:
        """η with what the effects add."""
        own = spreads.taster * at.tasters
        place = np.einsum('bpm,bm->bp', spreads.loads, at.shared)
        return np.asarray(eta + (own[:, :, None] + place[:, None, :]).ravel()[self._blocks.cell])

    def _pull(self, values: Floats, spreads: Spreads) -> Effects:
        """Zᵀ values: sums for each effect, times its σ."""
        return _pulled(self._by_cell(values), spreads)

    def _climb(self, cuts: Cuts, eta: Floats, spreads: Spreads) -> None:
        """Move to the top of g by Newton's steps, halved where g would fall.

        The last curvature serves as long as the steps shrink fast.
        """
        link, here, last = self.rows.link, self._top, 0.0
        at = cells(link, cuts, self._shifted(eta, spreads, here), 1)
        height, curvature = self._height(at, here), self._last
        for _ in range(MOST_STEPS):
            if curvature is None:
                bent = cells(link, cuts, self._shifted(eta, spreads, here), 2)
                curvature = _curvature(self._by_cell(bent.weight), spreads)
            step = curvature.solve(self._pull(at.slope, spreads).plus(here, -1.0))
            size = step.largest()
            if size * (min(1.0, size / last) if last else 1.0) < SMALL:
                self._top = here.plus(step, 1.0)
                return
            for halving in range(MOST_HALVINGS):
                there = here.plus(step, 0.5**halving)
                at = cells(link, cuts, self._shifted(eta, spreads, there), 1)
                reached = self._height(at, there)
                if reached >= height - 1e-12 * abs(height):
                    break
            if halving or (last and size > SHRINKING * last):
                curvature = None
            here, height, last = there, reached, size
        raise NotConverged(
            'the effects of tasters and rooms did not settle',
            remedy='leave sites and bottles out of the order-only check',
        )

    def _gradient(self, at: Cells, spreads: Spreads, fine: Floats, curvature: Curvature) -> Floats:
        across = curvature.ratio @ curvature.rest
        own = 1.0 / curvature.own + np.einsum('btm,btm->bt', across, curvature.ratio)
        by_place = spreads.loads @ curvature.rest
        crossed = np.swapaxes(spreads.loads @ np.swapaxes(across, 1, 2), 1, 2)
        leverage = (
            spreads.taster**2 * own[:, :, None]
            - 2.0 * spreads.taster * crossed
            + np.einsum('bpm,bpm->bp', by_place, spreads.loads)[:, None, :]
        ).ravel()[self._blocks.cell]
        adjoint = curvature.solve(self._pull(0.5 * leverage * (at.wa + at.wb), spreads))
        moved = self._shifted(np.zeros(leverage.size), spreads, adjoint)
        upper = at.a - 0.5 * leverage * at.wa + moved * at.ea
        lower = at.b - 0.5 * leverage * at.wb + moved * at.eb
        by_eta, slope = self._by_cell(-(upper + lower)), self._by_cell(at.slope)
        # How H itself changes with each σ.
        by_own = spreads.taster * own * _over_places(fine) - _over_places(crossed * fine)
        sums = _over_tasters(fine)
        by_load = sums[:, :, None] * by_place
        by_load -= spreads.taster * np.swapaxes(fine, 1, 2) @ across
        by_spread = [
            np.vdot(_over_places(by_eta), self._top.tasters)
            + np.vdot(_over_places(slope), adjoint.tasters)
            - by_own.sum()
        ]
        by_spread += [
            np.vdot(_by_effect(load, _over_tasters(by_eta)), self._top.shared)
            + np.vdot(_by_effect(load, _over_tasters(slope)), adjoint.shared)
            - np.vdot(load, by_load)
            for load in self._unit_loads
        ]
        return np.concatenate([self.rows.gather(upper, lower), by_spread])


def _over_tasters(fine: Floats) -> Floats:
    """Sums for each place (b, p); a product with ones is much quicker than a sum."""
    return np.asarray(np.ones(fine.shape[1]) @ fine)


def _over_places(fine: Floats) -> Floats:
    """Sums for each taster (b, t)."""
    return np.asarray(fine @ np.ones(fine.shape[2]))


def _by_effect(load: Floats, sums: Floats) -> Floats:
    """Sums for each shared effect (b, m) from those for each place (b, p)."""
    return np.asarray(np.einsum('bpm,bp->bm', load, sums))


def _pulled(fine: Floats, spreads: Spreads) -> Effects:
    """Sums for each effect, times its σ, from those of cells (b, t, p)."""
    return Effects(
        spreads.taster * _over_places(fine), _by_effect(spreads.loads, _over_tasters(fine))
    )


def _curvature(fine: Floats, spreads: Spreads) -> Curvature:
    """H from the sums of W over cells (b, t, p)."""
    loads = spreads.loads
    own = 1.0 + spreads.taster**2 * _over_places(fine)
    crossed = spreads.taster * fine @ loads
    ratio = crossed / own[:, :, None]
    left = np.swapaxes(loads, 1, 2) @ (_over_tasters(fine)[:, :, None] * loads)
    left += np.eye(loads.shape[2])
    left -= np.swapaxes(crossed, 1, 2) @ ratio
    diagonal = np.diagonal(np.linalg.cholesky(left), axis1=1, axis2=2)
    determinant = float(np.log(own).sum() + 2.0 * np.log(diagonal).sum())
    rest = np.asarray(np.linalg.inv(left), dtype=np.float64)
    return Curvature(own, ratio, rest, determinant)
