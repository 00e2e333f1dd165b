"""Which site pours which wines, when balanced blocks do not fit: an exchange search.

With site weights g (the precision of one wine's mean at a site, 1 / (σ²_bottle + σ²/N)), the
information on wine differences is C = Σ_s g_s (diag(x_s) − x_s x_sᵀ / k_s).  The search makes
the average variance of a difference, 2 tr(C⁺) / (v − 1), small: first it evens out how often
wines meet (which is quick), then it exchanges wines by the criterion itself.
The bound is that of a completely balanced design with the same tr(C).
Reference: John and Williams (1995), Cyclic and Computer Generated Designs, chapters 2 and 3.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

Floats = NDArray[np.float64]
Met = NDArray[np.bool_]

Progress = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class Allocation:
    """`poured` (sites, wines); efficiency against the bound; whether all wines are linked."""

    poured: Met
    efficiency: float
    connected: bool


@dataclass(frozen=True, slots=True)
class Demand:
    """What the search must respect.

    `capacity` (S,) wines at each site; `pinned` and `barred` (S, v); `most_sites` (v,) how
    many sites can have each wine; `weight` (S,) g.
    """

    capacity: NDArray[np.int64]
    pinned: Met
    barred: Met
    most_sites: NDArray[np.int64]
    weight: Floats


def information(poured: Met, weight: Floats) -> Floats:
    """C (v, v) of an allocation."""
    x = poured.astype(np.float64)
    size = np.maximum(x.sum(axis=1), 1.0)
    return np.asarray(np.diag(weight @ x) - x.T @ (x * (weight / size)[:, None]))


def average_variance(poured: Met, weight: Floats) -> float:
    """Average variance of a wine difference; infinite when wines are not all linked."""
    values = np.linalg.eigvalsh(information(poured, weight))[1:]
    if values[0] <= 1e-9 * values[-1]:
        return float('inf')
    return float(np.mean(2.0 / values).item())


def bound(poured: Met, weight: Floats) -> float:
    """The least average variance that any allocation with these sizes could have."""
    others = poured.shape[1] - 1
    total = float(np.trace(information(poured, weight)))
    return float(2.0 * others / total)


def efficiency(poured: Met, weight: Floats) -> float:
    """Bound over average variance: 1 for a balanced design, 0 when not connected."""
    variance = average_variance(poured, weight)
    return min(1.0, bound(poured, weight) / variance) if np.isfinite(variance) else 0.0


def allocate(
    demand: Demand,
    rng: np.random.Generator,
    *,
    starts: int = 4,
    passes: int = 30,
    start: Met | None = None,
    progress: Progress = lambda _: None,
) -> Allocation:
    """The best of several searched allocations, with `progress` told the share done."""
    best: Met | None = None
    best_efficiency = -1.0
    for attempt in range(starts):
        poured = start.copy() if start is not None and attempt == 0 else _first(demand, rng)
        # On matrices this small a second thread of the linear algebra only costs time.
        with threadpool_limits(limits=1, user_api='blas'):
            _even_out(poured, demand, rng, passes)
            _refine(poured, demand, rng)
            found = efficiency(poured, demand.weight)
        if found > best_efficiency:
            best, best_efficiency = poured, found
        progress((attempt + 1) / starts)
        if best_efficiency > 1.0 - 1e-9:
            break
    chosen = _first(demand, rng) if best is None else best
    return Allocation(chosen, best_efficiency, best_efficiency > 0.0)


def _first(demand: Demand, rng: np.random.Generator) -> Met:
    """Pinned wines, then at each site those poured least so far, or those with most bottles left.

    When every bottle is needed, sites of many wines come first, which fills all if it can be
    done (Gale 1957, Ryser 1957).
    """
    sites, wines = demand.pinned.shape
    poured = demand.pinned.copy()
    tight = demand.capacity.sum() >= demand.most_sites.sum()
    turns = rng.permutation(sites)
    if tight:
        turns = turns[np.argsort(-demand.capacity[turns], kind='stable')]
    for site in turns.tolist():
        free = int(demand.capacity[site] - poured[site].sum())
        if free <= 0:
            continue
        counts = poured.sum(axis=0)
        open_to = ~poured[site] & ~demand.barred[site] & (counts < demand.most_sites)
        rank = counts - demand.most_sites if tight else counts
        keys = np.where(open_to, rank + rng.random(wines), np.inf)
        chosen = np.argsort(keys)[:free]
        poured[site, chosen[np.isfinite(keys[chosen])]] = True
    return poured


def _even_out(poured: Met, demand: Demand, rng: np.random.Generator, passes: int) -> None:
    """Exchange one wine for another at a site while that evens out how often wines meet."""
    share = demand.weight / np.maximum(poured.sum(axis=1), 1)
    together = poured.T.astype(float) @ (poured * share[:, None])
    np.fill_diagonal(together, 0.0)
    counts = poured.sum(axis=0)
    for _ in range(passes):
        if not _even_pass(poured, demand, rng, share, together, counts):
            return


def _even_pass(
    poured: Met,
    demand: Demand,
    rng: np.random.Generator,
    share: Floats,
    together: Floats,
    counts: NDArray[np.int64],
) -> bool:
    moved = False
    mean = float(counts.mean())
    for site in rng.permutation(poured.shape[0]).tolist():
        weight = share[site]
        for out in rng.permutation(np.flatnonzero(poured[site] & ~demand.pinned[site])).tolist():
            others = poured[site].copy()
            others[out] = False
            closed = poured[site] | demand.barred[site] | (counts >= demand.most_sites)
            # Change of Σ together², and of the spread of how often each wine is poured.
            meet = together[:, others].sum(axis=1)
            gain = 2.0 * weight * (meet - meet[out]) + 2.0 * weight**2 * others.sum()
            gain += 2.0 * weight**2 * poured.shape[1] * (counts - counts[out] + 1.0) / mean
            gain[closed] = np.inf
            best = int(np.argmin(gain + 1e-9 * rng.random(gain.size)))
            if gain[best] < -1e-12:
                _exchange(poured, site, out, best, weight, together, counts)
                moved = True
    return moved


def _exchange(
    poured: Met,
    site: int,
    out: int,
    new: int,
    weight: float,
    together: Floats,
    counts: NDArray[np.int64],
) -> None:
    poured[site, out] = False
    others = np.flatnonzero(poured[site])
    together[out, others] -= weight
    together[others, out] -= weight
    together[new, others] += weight
    together[others, new] += weight
    poured[site, new] = True
    counts[out] -= 1
    counts[new] += 1


def _refine(poured: Met, demand: Demand, rng: np.random.Generator) -> None:
    """One pass by the criterion itself, on derivatives of tr(C⁺) and then exactly."""
    height = average_variance(poured, demand.weight)
    if not np.isfinite(height):
        return
    counts = poured.sum(axis=0)
    for site in rng.permutation(poured.shape[0]).tolist():
        inverse = np.linalg.pinv(information(poured, demand.weight), hermitian=True)
        square = inverse @ inverse
        for out in np.flatnonzero(poured[site] & ~demand.pinned[site]).tolist():
            new = _promising(poured[site], demand, site, out, square, counts)
            if new is None:
                continue
            poured[site, [out, new]] = [False, True]
            there = average_variance(poured, demand.weight)
            if there < height * (1.0 - 1e-9):
                height = there
                counts[out] -= 1
                counts[new] += 1
                break
            poured[site, [out, new]] = [True, False]


def _promising(
    row: Met,
    demand: Demand,
    site: int,
    out: int,
    square: Floats,
    counts: NDArray[np.int64],
) -> int | None:
    """The exchange at a site with the steepest fall of tr(C⁺): d tr(C⁺) = −tr(C⁺² dC)."""
    closed = row | demand.barred[site] | (counts >= demand.most_sites)
    if closed.all():
        return None
    x = row.astype(float)
    x[out] = 0.0
    size = x.sum() + 1.0
    base = np.diagonal(square) - (2.0 * square @ x + np.diagonal(square)) / size
    fall = base - base[out]
    fall[closed] = -np.inf
    best = int(np.argmax(fall))
    return best if fall[best] > 0.0 else None
