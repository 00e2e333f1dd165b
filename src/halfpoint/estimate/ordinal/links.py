"""The probability of one step, P = F(α_y − η) − F(α_(y−1) − η), and its derivatives.

F is logistic or standard normal.  Everything is told by derivatives of L = log P with respect
to the upper limit a = α_y − η (`a`), the lower limit b = α_(y−1) − η (`b`) and η.
Reference: McCullagh (1980), J. R. Stat. Soc. B 42, 109.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr, ndtr

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]
Link = Literal['logit', 'probit']

# Standard deviation of the logistic distribution, which puts the two links on one footing.
UNIT: dict[Link, float] = {'logit': float(np.pi / np.sqrt(3.0)), 'probit': 1.0}
# Exponents are held here: two of them multiplied still are ordinary numbers.
MOST_EXPONENT = 350.0
# Stands for an infinite limit where it is multiplied by a density of zero.
FAR = 1e6
# Probabilities below this are taken from logarithms, which are slower.
TINY = 1e-280
LOG_ROOT_TWO_PI = 0.5 * float(np.log(2.0 * np.pi))


def _nothing() -> Floats:
    return np.zeros(0)


@dataclass(frozen=True, slots=True)
class Cuts:
    """Both limits of every mark's step, (n,) each, before η is taken off.

    `pull` is 1/(exp(gap) − 1) and `depth` log(1 − exp(−gap)), gap the width of the step.
    """

    upper: Floats
    lower: Floats
    pull: Floats
    depth: Floats

    def part(self, rows: slice) -> Cuts:
        """The same for some of the marks."""
        return Cuts(self.upper[rows], self.lower[rows], self.pull[rows], self.depth[rows])


@dataclass(frozen=True, slots=True)
class Cells:
    """Logarithm of P and its derivatives, in the shape of η; empty where they were not asked for.

    First: `a`, `b`.  Second: `ea` = ∂²L/∂η∂a, `eb` = ∂²L/∂η∂b, `ab` = ∂²L/∂a∂b.  Third:
    `wa`, `wb`, the derivatives by a and b of W = −∂²L/∂η² = ea + eb.
    """

    log_p: Floats
    a: Floats
    b: Floats
    ea: Floats = field(default_factory=_nothing)
    eb: Floats = field(default_factory=_nothing)
    ab: Floats = field(default_factory=_nothing)
    wa: Floats = field(default_factory=_nothing)
    wb: Floats = field(default_factory=_nothing)

    @property
    def slope(self) -> Floats:
        """∂L/∂η."""
        return -(self.a + self.b)

    @property
    def weight(self) -> Floats:
        """W = −∂²L/∂η², never negative."""
        return self.ea + self.eb


def make_cuts(thresholds: Floats, step: Codes) -> Cuts:
    """Limits of each mark from ascending thresholds (k − 1,) and steps (n,) from 0 to k − 1."""
    edges = np.concatenate([[-np.inf], thresholds, [np.inf]])
    gap = np.diff(edges)
    pull = 1.0 / np.expm1(np.minimum(gap, 2.0 * MOST_EXPONENT))
    depth = np.log(-np.expm1(-gap))
    return Cuts(edges[1:][step], edges[:-1][step], pull[step], depth[step])


def cells(link: Link, cuts: Cuts, eta: Floats, order: int) -> Cells:
    """Logarithm of P and its derivatives up to `order` (1, 2 or 3) at η (n,) or (…, n)."""
    return _logit(cuts, eta, order) if link == 'logit' else _probit(cuts, eta, order)


def _logit(cuts: Cuts, eta: Floats, order: int) -> Cells:
    """P = F(a)·(1 − F(b))·(1 − exp(b − a)): every derivative follows from F(a) and F(b)."""
    over = np.exp(np.minimum(eta - cuts.upper, MOST_EXPONENT))
    under = np.exp(np.minimum(cuts.lower - eta, MOST_EXPONENT))
    below, above = 1.0 / (1.0 + over), 1.0 / (1.0 + under)
    log_p = np.log(below * above) + cuts.depth
    over *= below
    under *= above
    a, b = over + cuts.pull, -under - cuts.pull
    if order == 1:
        return Cells(log_p, a, b)
    ea, eb = over * below, under * above
    ab = np.broadcast_to(cuts.pull * (1.0 + cuts.pull), eta.shape)
    if order == 2:
        return Cells(log_p, a, b, ea, eb, ab)
    return Cells(log_p, a, b, ea, eb, ab, ea * (over - below), eb * (above - under))


def _probit(cuts: Cuts, eta: Floats, order: int) -> Cells:
    """Densities over P, taken from logarithms so that far tails keep their digits."""
    upper, lower = cuts.upper - eta, cuts.lower - eta
    log_p = _log_between(upper, lower)
    f, g = _density_over(upper, log_p), _density_over(lower, log_p)
    if order == 1:
        return Cells(log_p, f, -g)
    x, y = np.clip(upper, -FAR, FAR), np.clip(lower, -FAR, FAR)
    lean = f - g
    ea, eb = (x + lean) * f, -(y + lean) * g
    if order == 2:
        return Cells(log_p, f, -g, ea, eb, f * g)
    bend = y * g - x * f
    wa = -f * (x**2 - 1.0 - bend + 2.0 * lean * (x + lean))
    wb = g * (y**2 - 1.0 - bend + 2.0 * lean * (y + lean))
    return Cells(log_p, f, -g, ea, eb, f * g, wa, wb)


def _log_between(upper: Floats, lower: Floats) -> Floats:
    """log(Φ(upper) − Φ(lower)), mirrored where both lie in the upper tail."""
    mirrored = upper + lower > 0.0
    high, low = np.where(mirrored, -lower, upper), np.where(mirrored, -upper, lower)
    between = ndtr(high) - ndtr(low)
    log_p = np.log(np.maximum(between, TINY))
    far = between < TINY
    if far.any():
        high, low = log_ndtr(high[far]), log_ndtr(low[far])
        log_p[far] = high + np.log(-np.expm1(low - high))
    return np.asarray(log_p)


def _density_over(x: Floats, log_p: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * x**2 - LOG_ROOT_TWO_PI - log_p))
