"""Balanced incomplete blocks: which wines each site pours when it cannot pour them all.

v wines in b blocks of k, each wine in r blocks, each pair in λ.  Needed: bk = vr,
λ(v−1) = r(k−1), b ≥ v (Fisher), and for b = v the theorem of Bruck, Ryser and Chowla.
Designs come from difference families over the integers modulo v and from mixed differences
(Bose 1939), affine and projective planes over a prime, complements, and all subsets; none is
looked up in a table.
Reference: Cochran and Cox (1957), Experimental Designs, chapter 11; ISO 29842.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from halfpoint.plan.orbits import turning_blocks

Blocks = NDArray[np.int64]

# Difference families are searched only where that is quick.
MOST_WINES = 40
MOST_SUBSETS = 3_000
MOST_TRIES = 20_000


@dataclass(frozen=True, slots=True)
class Parameters:
    """The numbers of a balanced incomplete block design."""

    wines: int
    blocks: int
    replicates: int
    size: int
    together: int

    @property
    def efficiency(self) -> float:
        """Efficiency factor λv / (rk): variance of a complete design over that of this one."""
        return self.together * self.wines / (self.replicates * self.size)


def admissible(wines: int, size: int, blocks: int) -> Parameters | None:
    """The parameters if arithmetic allows such a design (it still need not exist)."""
    if not 2 <= size < wines or (blocks * size) % wines:
        return None
    replicates = blocks * size // wines
    if (replicates * (size - 1)) % (wines - 1) or blocks < wines:
        return None
    together = replicates * (size - 1) // (wines - 1)
    found = Parameters(wines, blocks, replicates, size, together)
    return found if blocks != wines or _symmetric_possible(found) else None


def _symmetric_possible(p: Parameters) -> bool:
    """Bruck, Ryser and Chowla (1949, 1950)."""
    order = p.size - p.together
    if p.wines % 2 == 0:
        return math.isqrt(order) ** 2 == order
    sign = -1 if (p.wines - 1) // 2 % 2 else 1
    return _solvable(order, sign * p.together)


def _solvable(a: int, b: int) -> bool:
    """Whether x² = a·y² + b·z² has a solution other than zero (Legendre), a > 0."""
    limit = 2 * (abs(a) + abs(b)) + 4
    squares = {x * x for x in range(limit * 4)}
    return any(
        a * y * y + b * z * z in squares for y in range(limit) for z in range(limit) if y or z
    )


def smallest_blocks(wines: int, size: int) -> int:
    """The least number of blocks that arithmetic allows."""
    step = wines // math.gcd(wines, size)
    blocks = step * -(-wines // step)
    while admissible(wines, size, blocks) is None:
        blocks += step
    return blocks


@lru_cache(maxsize=64)
def _cached(wines: int, size: int) -> tuple[tuple[int, ...], ...] | None:
    least = smallest_blocks(wines, size)
    found = _from_differences(wines, size)
    if found is None or len(found) > least:
        found = _plane(wines, size) or turning_blocks(wines, size, least) or found
    found = found or _complement(wines, size) or _subsets(wines, size)
    return tuple(found) if found else None


def balanced_over(wines: int, size: int, sites: int) -> Blocks | None:
    """A balanced design of exactly so many blocks, repeated where need be, or None.

    Rows are blocks of wine numbers from 0.
    """
    few = balanced_blocks(wines, size)
    if few is not None and sites % len(few) == 0:
        return np.tile(few, (sites // len(few), 1))
    for blocks in (b for b in range(wines, sites + 1) if sites % b == 0):
        if admissible(wines, size, blocks) is not None:
            found = turning_blocks(wines, size, blocks)
            if found is not None:
                return np.tile(np.array(found, dtype=np.int64), (sites // blocks, 1))
    return None


def balanced_blocks(wines: int, size: int) -> Blocks | None:
    """A balanced incomplete block design (b, k) with few blocks, or None if none is known here.

    Rows are blocks of wine numbers from 0.
    """
    if not 2 <= size < wines:
        return None
    found = _cached(wines, size)
    return None if found is None else np.array(found, dtype=np.int64)


def is_balanced(blocks: Blocks, wines: int) -> bool:
    """Whether every pair of wines stands together equally often, and every wine so too."""
    met = np.zeros((blocks.shape[0], wines), dtype=np.int64)
    met[np.arange(blocks.shape[0])[:, None], blocks] = 1
    together = met.T @ met
    off = together[~np.eye(wines, dtype=bool)]
    return bool(np.ptp(off) == 0 and np.ptp(np.diagonal(together)) == 0 and off[0] > 0)


def _from_differences(wines: int, size: int) -> list[tuple[int, ...]] | None:
    """Develop one to three starting blocks modulo v, if their differences balance."""
    if wines > MOST_WINES:
        return None
    for starters in (1, 2, 3):
        pairs = starters * size * (size - 1)
        if pairs % (wines - 1) == 0:
            family = _difference_family(wines, size, starters, pairs // (wines - 1))
            if family is not None:
                return [
                    tuple(sorted((x + shift) % wines for x in block))
                    for block in family
                    for shift in range(wines)
                ]
    return None


def _difference_family(
    wines: int, size: int, starters: int, together: int
) -> list[tuple[int, ...]] | None:
    """Depth-first search for starting blocks that contain 0; None when tries run out."""
    counts = [0] * wines
    tries = itertools.count()

    def extend(done: list[tuple[int, ...]], block: list[int]) -> list[tuple[int, ...]] | None:
        if next(tries) > MOST_TRIES:
            return None
        if len(block) == size:
            family = [*done, tuple(block)]
            return family if len(family) == starters else extend(family, [0])
        for candidate in range(block[-1] + 1, wines):
            made = [d for x in block for d in ((candidate - x) % wines, (x - candidate) % wines)]
            for d in made:
                counts[d] += 1
            if all(counts[d] <= together for d in made):
                found = extend(done, [*block, candidate])
                if found is not None:
                    return found
            for d in made:
                counts[d] -= 1
        return None

    return extend([], [0])


def _prime(number: int) -> bool:
    return number > 1 and all(number % d for d in range(2, math.isqrt(number) + 1))


def _plane(wines: int, size: int) -> list[tuple[int, ...]] | None:
    """Lines of the affine plane of a prime order: v = k²."""
    if wines != size * size or not _prime(size):
        return None
    lines = [
        tuple(sorted(x * size + (slope * x + shift) % size for x in range(size)))
        for slope in range(size)
        for shift in range(size)
    ]
    return lines + [tuple(range(x * size, (x + 1) * size)) for x in range(size)]


def _complement(wines: int, size: int) -> list[tuple[int, ...]] | None:
    """The wines left out of each block of a design with blocks of v − k."""
    other = wines - size
    if not 2 <= other < size:
        return None
    found = _cached(wines, other)
    if found is None:
        return None
    return [tuple(w for w in range(wines) if w not in block) for block in found]


def _subsets(wines: int, size: int) -> list[tuple[int, ...]] | None:
    """Every choice of k wines, where these are few."""
    if math.comb(wines, size) > MOST_SUBSETS:
        return None
    return list(itertools.combinations(range(wines), size))
