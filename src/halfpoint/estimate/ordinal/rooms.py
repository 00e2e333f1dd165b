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
from halfpoint.estimate.ordinal.blocks import Blocks, make_blocks
from halfpoint.estimate.ordinal.links import Cells, Cuts, cells
from halfpoint.estimate.ordinal.rows import Rows

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

MOST_STEPS = 60
MOST_HALVINGS = 25
SMALL = 1e-6


@dataclass(frozen=True, slots=True)
class Effects:
    """Values for tasters (s,) and for everything shared (b m,), in their places."""

    tasters: Floats
    shared: Floats

    def plus(self, other: Effects, share: float) -> Effects:
        """This and a share of another."""
        return Effects(self.tasters + share * other.tasters, self.shared + share * other.shared)

    def largest(self) -> float:
        """The largest absolute value."""
        return max(float(np.abs(self.tasters).max()), float(np.abs(self.shared).max()))

    def half_square(self) -> float:
        """Half the sum of squares."""
        return 0.5 * float(self.tasters @ self.tasters + self.shared @ self.shared)


@dataclass(frozen=True, slots=True)
class Curvature:
    """H after elimination: diagonal (b, t), cross over it (b, t, m), inverse rest (b, m, m)."""

    own: Floats
    ratio: Floats
    rest: Floats
    log_determinant: float

    def solve(self, right: Effects) -> Effects:
        """H⁻¹ times a right side."""
        blocks, tasters, shared = self.ratio.shape
        right_own = right.tasters.reshape(blocks, tasters)
        pulled = np.einsum('btm,bt->bm', self.ratio, right_own)
        left = right.shared.reshape(blocks, shared) - pulled
        rest = np.einsum('bml,bl->bm', self.rest, left)
        own = right_own / self.own - np.einsum('btm,bm->bt', self.ratio, rest)
        return Effects(own.ravel(), rest.ravel())

    def inverse_parts(self) -> tuple[Floats, Floats]:
        """H⁻¹ for each taster alone (b t,) and for taster by shared effect (b t m,)."""
        across = self.ratio @ self.rest
        own = 1.0 / self.own + np.einsum('btm,btm->bt', across, self.ratio)
        return own.ravel(), -across.ravel()


class RoomLaplace:
    """The Laplace log-likelihood of θ = (located parameters, σ taster, σ of the others)."""

    def __init__(self, rows: Rows, taster: Codes, shared: tuple[Codes, ...]) -> None:
        self.rows = rows
        self.evaluations = 0
        self._blocks: Blocks = make_blocks(taster, shared)
        places = self._blocks.count * self._blocks.tasters
        self._top = Effects(np.zeros(places), np.zeros(self._blocks.count * self._blocks.shared))

    @property
    def spreads(self) -> int:
        """The number of standard deviations in θ."""
        return 1 + len(self._blocks.place)

    @property
    def tops(self) -> Floats:
        """Every taster's effect at the last evaluation, in units of its σ."""
        return self._top.tasters[self._blocks.of_taster]

    def shared_tops(self, which: int) -> Floats:
        """The same for the levels of the other effect number `which`."""
        return self._top.shared[self._blocks.of_shared[which]]

    def height(self, theta: Floats) -> tuple[float, Floats]:
        """Log-likelihood and its gradient."""
        self.evaluations += 1
        rows = self.rows
        cuts, eta, sigmas = rows.cuts(theta), rows.eta(theta), theta[rows.located :]
        self._climb(cuts, eta, sigmas)
        at = cells(rows.link, cuts, self._shifted(eta, sigmas, self._top), 3)
        curvature = self._curvature(at.weight, sigmas)
        value = float(at.log_p.sum()) - self._top.half_square() - 0.5 * curvature.log_determinant
        return value, self._gradient(at, sigmas, curvature)

    def rough_information(self, theta: Floats) -> Floats:
        """Information near enough to start a search with: H's own change with θ is left out."""
        rows, sigmas = self.rows, theta[self.rows.located :]
        cuts, eta = rows.cuts(theta), rows.eta(theta)
        self._climb(cuts, eta, sigmas)
        at = cells(rows.link, cuts, self._shifted(eta, sigmas, self._top), 2)
        curvature = self._curvature(at.weight, sigmas)
        made = np.zeros((theta.size, theta.size))
        located = -rows.curvature(at.ab, at.ea, at.eb)
        columns = [self._pull(column, sigmas) for column in rows.columns(at.ea, at.eb)]
        for j, column in enumerate(columns):
            solved = curvature.solve(column)
            for i, other in enumerate(columns):
                located[i, j] -= other.tasters @ solved.tasters + other.shared @ solved.shared
        made[: rows.located, : rows.located] = located
        for k, part in enumerate(self._weights(at.weight)):
            tight = sigmas[k] * part / (1.0 + sigmas[k] ** 2 * part)
            made[rows.located + k, rows.located + k] = max(1.0, 2.0 * float(tight @ tight))
        return made

    def _weights(self, weight: Floats) -> list[Floats]:
        """Sums of W over the levels of each effect."""
        blocks = self._blocks
        own = np.bincount(blocks.slot, weight)
        sums = [own, *(np.bincount(place, weight) for place in blocks.place)]
        return [np.asarray(part, dtype=np.float64) for part in sums]

    def _shifted(self, eta: Floats, sigmas: Floats, at: Effects) -> Floats:
        made = eta + (sigmas[0] * at.tasters)[self._blocks.slot]
        for sigma, place in zip(sigmas[1:], self._blocks.place, strict=True):
            made += (sigma * at.shared)[place]
        return np.asarray(made)

    def _pull(self, values: Floats, sigmas: Floats) -> Effects:
        """Zᵀ values: sums for each effect, times its σ."""
        blocks, size = self._blocks, self._top.shared.size
        shared = np.zeros(size)
        for sigma, place in zip(sigmas[1:], blocks.place, strict=True):
            shared += sigma * np.bincount(place, values, size)
        own = np.bincount(blocks.slot, values, self._top.tasters.size)
        return Effects(sigmas[0] * own, shared)

    def _curvature(self, weight: Floats, sigmas: Floats) -> Curvature:
        blocks = self._blocks
        shape = (blocks.count, blocks.tasters, blocks.shared)
        own = 1.0 + sigmas[0] ** 2 * np.bincount(blocks.slot, weight, shape[0] * shape[1])
        own = own.reshape(shape[:2])
        cross = np.zeros(shape[0] * shape[1] * shape[2])
        rest = np.zeros(shape[0] * shape[2] * shape[2])
        for k, sigma in enumerate(sigmas[1:]):
            cross += sigmas[0] * sigma * np.bincount(blocks.cross[k], weight, cross.size)
            for other, also in enumerate(sigmas[1:]):
                rest += sigma * also * np.bincount(blocks.within[k][other], weight, rest.size)
        crossed = cross.reshape(shape)
        ratio = crossed / own[:, :, None]
        left = rest.reshape(shape[0], shape[2], shape[2]) + np.eye(shape[2])
        left -= np.swapaxes(crossed, 1, 2) @ ratio
        diagonal = np.diagonal(np.linalg.cholesky(left), axis1=1, axis2=2)
        determinant = float(np.log(own).sum() + 2.0 * np.log(diagonal).sum())
        return Curvature(own, ratio, np.asarray(np.linalg.inv(left), dtype=np.float64), determinant)

    def _climb(self, cuts: Cuts, eta: Floats, sigmas: Floats) -> None:
        """Move to the top of g by Newton's steps, halved where g would fall."""
        link = self.rows.link
        here = self._top
        at = cells(link, cuts, self._shifted(eta, sigmas, here), 2)
        height = float(at.log_p.sum()) - here.half_square()
        for _ in range(MOST_STEPS):
            slope = self._pull(at.slope, sigmas).plus(here, -1.0)
            step = self._curvature(at.weight, sigmas).solve(slope)
            if step.largest() < SMALL:
                self._top = here.plus(step, 1.0)
                return
            for halving in range(MOST_HALVINGS):
                there = here.plus(step, 0.5**halving)
                at = cells(link, cuts, self._shifted(eta, sigmas, there), 2)
                reached = float(at.log_p.sum()) - there.half_square()
                if reached >= height - 1e-12 * abs(height):
                    break
            here, height = there, reached
        raise NotConverged(
            'the effects of tasters and rooms did not settle',
            remedy='leave sites and bottles out of the order-only check',
        )

    def _gradient(self, at: Cells, sigmas: Floats, curvature: Curvature) -> Floats:
        leverage, loads = self._leverage(curvature, sigmas)
        pull = self._pull(0.5 * leverage * (at.wa + at.wb), sigmas)
        adjoint = curvature.solve(pull)
        moved = self._shifted(np.zeros(leverage.size), sigmas, adjoint)
        upper = at.a - 0.5 * leverage * at.wa + moved * at.ea
        lower = at.b - 0.5 * leverage * at.wb + moved * at.eb
        by_eta, slope, weight = -(upper + lower), at.slope, at.weight
        by_spread = [
            float(by_eta @ top + slope @ adjoint_part - weight @ load)
            for top, adjoint_part, load in zip(
                self._parts(self._top), self._parts(adjoint), loads, strict=True
            )
        ]
        return np.concatenate([self.rows.gather(upper, lower), by_spread])

    def _parts(self, effects: Effects) -> list[Floats]:
        """Each row's taster effect and other effects, in units of their σ."""
        blocks = self._blocks
        return [effects.tasters[blocks.slot], *(effects.shared[place] for place in blocks.place)]

    def _leverage(self, curvature: Curvature, sigmas: Floats) -> tuple[Floats, list[Floats]]:
        """zᵀH⁻¹z of each row (n,), and the part of H⁻¹z at each of its effects."""
        blocks = self._blocks
        own, across = curvature.inverse_parts()
        rest = curvature.rest.ravel()
        crossed = [across[cross] for cross in blocks.cross]
        loads = [sigmas[0] * own[blocks.slot]]
        for sigma, part in zip(sigmas[1:], crossed, strict=True):
            loads[0] = loads[0] + sigma * part
        for k, part in enumerate(crossed):
            load = sigmas[0] * part
            for sigma, within in zip(sigmas[1:], blocks.within[k], strict=True):
                load = load + sigma * rest[within]
            loads.append(load)
        leverage = np.sum([s * load for s, load in zip(sigmas, loads, strict=True)], axis=0)
        return np.asarray(leverage), loads
