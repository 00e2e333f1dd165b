"""Balanced blocks that repeat themselves under a rotation, found by a small search.

Wines stand on m rings of n places, one perhaps in the middle; b / n starting blocks are
turned through all n places.  A pair of wines then only counts by its orbit (which rings, and
how far apart), so few numbers have to come out even: Bose's (1939) method of mixed
differences, with the starting blocks found by simulated annealing instead of by hand.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

Block = tuple[int, ...]

MOST_WINES = 40
MOST_PLACES = 60
MOVES = 40_000
ATTEMPTS = 3
HOT, COLD = 2.0, 0.15


@dataclass(frozen=True, slots=True)
class _Rotation:
    """A turn of n places on so many wines; the last wine stands still when one is over."""

    wines: int
    places: int

    def turned(self, wine: int, by: int) -> int:
        ring, place = divmod(wine, self.places)
        if self.wines % self.places and wine == self.wines - 1:
            return wine
        return ring * self.places + (place + by) % self.places

    def orbits(self) -> tuple[dict[tuple[int, int], int], list[int]]:
        """The orbit of each ordered pair, and how many pairs each has."""
        orbit: dict[tuple[int, int], int] = {}
        sizes: list[int] = []
        for pair in combinations(range(self.wines), 2):
            if pair not in orbit:
                turns = {
                    tuple(sorted(self.turned(w, by) for w in pair)) for by in range(self.places)
                }
                for a, b in turns:
                    orbit[a, b] = orbit[b, a] = len(sizes)
                sizes.append(len(turns))
        return orbit, sizes


def turning_blocks(wines: int, size: int, blocks: int) -> list[Block] | None:
    """A balanced design of exactly so many blocks, or None when the search finds none.

    The parameters have to be admissible; the same ones give the same blocks.
    """
    if wines > MOST_WINES:
        return None
    together = blocks * size * (size - 1) // (wines * (wines - 1))
    for attempt in range(ATTEMPTS):
        for places in _rotations(wines, size, blocks):
            rng = random.Random(1000 * attempt + size)  # noqa: S311 - nothing secret
            found = _search(_Rotation(wines, places), size, blocks // places, together, rng)
            if found is not None:
                return found
    return None


def _rotations(wines: int, size: int, blocks: int) -> Iterator[int]:
    """Sizes of ring that fit, those with the fewest starting blocks first."""
    for places in range(wines, 1, -1):
        fits = blocks % places == 0 and wines % places <= 1 and places * 4 > wines
        if fits and blocks // places * size <= MOST_PLACES:
            yield places


def _search(
    rotation: _Rotation, size: int, starters: int, together: int, rng: random.Random
) -> list[Block] | None:
    orbit, sizes = rotation.orbits()
    weight = [rotation.places / each for each in sizes]
    chosen = [rng.sample(range(rotation.wines), size) for _ in range(starters)]
    count = [0.0] * len(sizes)
    for block in chosen:
        for pair in combinations(block, 2):
            count[orbit[pair]] += weight[orbit[pair]]
    far = sum(s * (c - together) ** 2 for s, c in zip(sizes, count, strict=True))
    for move in range(MOVES):
        if far < 0.5:
            return _developed(rotation, chosen)
        heat = rotation.places * HOT * (COLD / HOT) ** (move / MOVES)
        block = rng.choice(chosen)
        place, new = rng.randrange(size), rng.randrange(rotation.wines)
        if new in block:
            continue
        change: dict[int, float] = {}
        for other in block[:place] + block[place + 1 :]:
            lost, won = orbit[block[place], other], orbit[new, other]
            change[lost] = change.get(lost, 0.0) - weight[lost]
            change[won] = change.get(won, 0.0) + weight[won]
        rise = sum(sizes[o] * by * (2.0 * (count[o] - together) + by) for o, by in change.items())
        if rise <= 0.0 or rng.random() < math.exp(-rise / heat):
            for o, by in change.items():
                count[o] += by
            block[place] = new
            far += rise
    return None


def _developed(rotation: _Rotation, starters: list[list[int]]) -> list[Block]:
    return [
        tuple(sorted(rotation.turned(wine, by) for wine in block))
        for block in starters
        for by in range(rotation.places)
    ]
