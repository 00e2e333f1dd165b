"""One random intercept per taster, integrated out by adaptive Gauss–Hermite quadrature.

Taster t's likelihood is ∫ exp g(v) dv / √(2π), g(v) = Σ log P(y | η + σv) − v²/2.  Nodes are
laid around the top v̂ of g at a width s = (−g″(v̂))^(−½); with one node this is Laplace's
approximation.  The gradient is that of the approximation itself: nodes move with θ.
References: Tutz and Hennevogl (1996), Comput. Stat. Data Anal. 22, 537; Liu and Pierce (1994),
Biometrika 81, 624; for the information Louis (1982), J. R. Stat. Soc. B 44, 226.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.ordinal.links import Cells, Cuts, cells
from halfpoint.estimate.ordinal.rows import Rows
from halfpoint.estimate.ordinal.tops import Top, find_tops

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

# Rows times nodes worked on at once, so that they stay in the processor's own memory.
CHUNK = 30_000
# From this many nodes on Louis's formula is as exact as the quadrature itself.
ENOUGH_NODES = 5


@dataclass(frozen=True, slots=True)
class Piece:
    """The rows of some tasters: where each begins, and whose each row is."""

    rows: slice
    tasters: slice
    starts: Codes
    whose: Codes

    def sums(self, values: Floats) -> Floats:
        """Sums over each taster's rows, the last axis of `values`."""
        return np.asarray(np.add.reduceat(values, self.starts, axis=-1))


@dataclass(frozen=True, slots=True)
class Spread:
    """A piece's nodes v (m, t), their shares of the integral (m, t), and log integrals (t,)."""

    nodes: Floats
    shares: Floats
    log_integral: Floats
    at: Cells


class TasterQuadrature:
    """The marginal log-likelihood of θ = (located parameters, σ), rows sorted by taster."""

    def __init__(self, rows: Rows, taster: Codes, nodes: int) -> None:
        self.rows = rows
        self.evaluations = 0
        self._taster = taster
        self._pieces = tuple(_pieces(taster, nodes))
        self._tops = np.zeros(int(taster[-1]) + 1)
        self._use(nodes)

    def _use(self, nodes: int) -> None:
        x, weight = np.polynomial.hermite.hermgauss(nodes)
        self._x = np.sqrt(2.0) * x[:, None]
        self._log_weight = (np.log(weight) + x**2)[:, None] - 0.5 * np.log(np.pi)

    @property
    def spreads(self) -> int:
        """The number of standard deviations in θ."""
        return 1

    @property
    def tops(self) -> Floats:
        """Where each taster's integrand was highest at the last evaluation, in units of σ."""
        return self._tops

    def with_nodes(self, nodes: int) -> TasterQuadrature:
        """The same marks with another number of nodes."""
        return TasterQuadrature(self.rows, self._taster, nodes)

    def height(self, theta: Floats) -> tuple[float, Floats]:
        """Log-likelihood and its gradient."""
        self.evaluations += 1
        cuts, eta, sigma = self._at(theta)
        by_upper, by_lower = np.empty(eta.size), np.empty(eta.size)
        total = by_sigma = 0.0
        for piece in self._pieces:
            own_cuts, own_eta = cuts.part(piece.rows), eta[piece.rows]
            top = self._find(piece, own_cuts, own_eta, sigma)
            spread = self._spread(piece, own_cuts, own_eta, sigma, top)
            upper, lower, slope = _gradient(piece, sigma, top, spread, self._x)
            by_upper[piece.rows], by_lower[piece.rows] = upper, lower
            by_sigma += slope
            total += float(spread.log_integral.sum())
        return total, np.append(self.rows.gather(by_upper, by_lower), by_sigma)

    def information(self, theta: Floats) -> Floats:
        """Minus the second derivatives, by Louis's formula over the nodes."""
        cuts, eta, sigma = self._at(theta)
        made = np.zeros((theta.size, theta.size))
        for piece in self._pieces:
            own_cuts, own_eta = cuts.part(piece.rows), eta[piece.rows]
            top = self._find(piece, own_cuts, own_eta, sigma)
            spread = self._spread(piece, own_cuts, own_eta, sigma, top, order=2)
            own = self.rows.part(piece.rows)
            made -= _expected_curvature(own, piece, spread) + _score_variance(own, piece, spread)
        return made

    def _at(self, theta: Floats) -> tuple[Cuts, Floats, float]:
        return self.rows.cuts(theta), self.rows.eta(theta), float(theta[-1])

    def _find(self, piece: Piece, cuts: Cuts, eta: Floats, sigma: float) -> Top:
        start = self._tops[piece.tasters]
        top = find_tops(self.rows.link, cuts, eta, sigma, start, piece.sums, piece.whose)
        self._tops[piece.tasters] = top.v
        return top

    def _spread(
        self, piece: Piece, cuts: Cuts, eta: Floats, sigma: float, top: Top, order: int = 1
    ) -> Spread:
        nodes = top.v + self._x * top.width
        if self._x.size == 1 and order == 1:
            at = top.at
            log_g = piece.sums(at.log_p)[None, :] - 0.5 * nodes**2
        else:
            at = cells(self.rows.link, cuts, eta + sigma * nodes[:, piece.whose], order)
            log_g = piece.sums(at.log_p) - 0.5 * nodes**2
        log_g += self._log_weight
        highest = log_g.max(axis=0)
        shares = np.exp(log_g - highest)
        whole = shares.sum(axis=0)
        shares /= whole
        return Spread(nodes, shares, highest + np.log(whole) + np.log(top.width), at)


def _pieces(taster: Codes, nodes: int) -> Iterator[Piece]:
    """Whole tasters, few enough at a time."""
    starts = np.flatnonzero(np.diff(taster, prepend=-1))
    ends = np.append(starts[1:], taster.size)
    first = 0
    while first < starts.size:
        last = int(np.searchsorted(ends, starts[first] + CHUNK // nodes, side='right'))
        last = max(last, first + 1)
        rows = slice(int(starts[first]), int(ends[last - 1]))
        yield Piece(
            rows,
            slice(first, last),
            starts[first:last] - rows.start,
            taster[rows] - first,
        )
        first = last


def _gradient(
    piece: Piece, sigma: float, top: Top, spread: Spread, x: Floats
) -> tuple[Floats, Floats, float]:
    """Derivatives of a piece's log-likelihood by its rows' limits, (n,) each, and by σ."""
    at, share, v, s = top.at, spread.shares, top.v, top.width
    node_slope = np.atleast_2d(piece.sums(spread.at.slope))
    off = share * (sigma * node_slope - spread.nodes)
    by_width = (off * x).sum(axis=0)
    weight = piece.sums(at.weight)
    bend = -piece.sums(at.wa + at.wb)
    # Through the width, and through the place of the top.
    wide = -0.5 * (s**3 * by_width + s**2)
    moved = (off.sum(axis=0) + wide * sigma**3 * bend) * s**2
    wide_rows, moved_rows = (wide * sigma**2)[piece.whose], (moved * sigma)[piece.whose]
    upper = _mean(piece, share, spread.at.a) + wide_rows * at.wa + moved_rows * at.ea
    lower = _mean(piece, share, spread.at.b) + wide_rows * at.wb + moved_rows * at.eb
    by_sigma = (share * spread.nodes * node_slope).sum(axis=0)
    by_sigma += wide * (2.0 * sigma * weight + sigma**2 * bend * v)
    by_sigma += moved * (piece.sums(at.slope) - sigma * v * weight)
    return upper, lower, float(by_sigma.sum())


def _mean(piece: Piece, share: Floats, values: Floats) -> Floats:
    """Mean over the nodes of what is told for each row, (n,)."""
    if share.shape[0] == 1:
        return np.asarray(values).reshape(-1)
    return np.asarray(np.einsum('mn,mn->n', share[:, piece.whose], values))


def _expected_curvature(rows: Rows, piece: Piece, spread: Spread) -> Floats:
    """Mean second derivatives of g over the nodes."""
    at, share, v = spread.at, spread.shares, spread.nodes
    located = rows.located
    made = np.zeros((located + 1, located + 1))
    ab = _mean(piece, share, np.broadcast_to(at.ab, at.ea.shape))
    made[:located, :located] = rows.curvature(
        ab, _mean(piece, share, at.ea), _mean(piece, share, at.eb)
    )
    leaning = share * v
    across = rows.gather(_mean(piece, leaning, at.ea), _mean(piece, leaning, at.eb))
    made[:located, -1] = made[-1, :located] = across
    made[-1, -1] = -float((leaning * v * piece.sums(at.weight)).sum())
    return made


def _score_variance(rows: Rows, piece: Piece, spread: Spread) -> Floats:
    """Variance over the nodes of each taster's score, summed over tasters."""
    scores = _scores(rows, piece, spread)
    share = spread.shares[:, :, None]
    mean = (share * scores).sum(axis=0)
    flat = (np.sqrt(share) * (scores - mean)).reshape(-1, scores.shape[2])
    return np.asarray(flat.T @ flat)


def _scores(rows: Rows, piece: Piece, spread: Spread) -> Floats:
    """Gradient of g at every node of every taster, (m, t, k)."""
    at, nodes = spread.at, spread.nodes
    slope = at.slope
    upper = _spread_out(piece, nodes, rows.step, rows.steps, at.a)
    lower = _spread_out(piece, nodes, rows.step, rows.steps, at.b)
    wines = _spread_out(piece, nodes, rows.wine, rows.wines, slope)
    others = [piece.sums(slope * column)[:, :, None] for column in rows.covariates.T]
    by_sigma = (nodes * piece.sums(slope))[:, :, None]
    cuts = upper[:, :, :-1] + lower[:, :, 1:]
    return np.concatenate([cuts, wines[:, :, 1:], *others, by_sigma], axis=2)


def _spread_out(piece: Piece, nodes: Floats, codes: Codes, size: int, values: Floats) -> Floats:
    """Sums for every node, taster and level, (m, t, size)."""
    count, tasters = nodes.shape
    cell = np.arange(count)[:, None] * (tasters * size) + piece.whose * size + codes
    sums = np.bincount(cell.ravel(), np.ravel(values), count * tasters * size)
    return np.asarray(sums.reshape(count, tasters, size))
