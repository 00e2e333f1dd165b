"""What one site pours, as items: each wine once, some twice, in style blocks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.tasting.model import Tasting, Wine

SWEETNESS = {None: 0, 'dry': 0, 'off-dry': 0, 'medium': 1, 'sweet': 2}


@dataclass(frozen=True, slots=True)
class Items:
    """Items of one site: `wine[i]` its number, `second[i]` whether it is the second pour.

    `blocks` are the items of each style block, in serving order.
    """

    wine: tuple[int, ...]
    second: tuple[bool, ...]
    blocks: tuple[tuple[int, ...], ...]

    @property
    def twins(self) -> dict[int, int]:
        """Second pour to first pour."""
        first = {w: i for i, (w, s) in enumerate(zip(self.wine, self.second, strict=True)) if not s}
        return {
            i: first[w] for i, (w, s) in enumerate(zip(self.wine, self.second, strict=True)) if s
        }

    @property
    def block_of(self) -> dict[int, int]:
        """Style block of each item."""
        return {item: place for place, block in enumerate(self.blocks) for item in block}


def style_ranks(tasting: Tasting) -> tuple[tuple[int, int], ...]:
    """For each wine, what decides its block: place of its style, then how sweet it is.

    Common practice, no source: sparkling first, whites before reds, dry before sweet.
    """
    if not tasting.plan.style_blocks:
        return ((0, 0),) * len(tasting.wines)
    order: dict[str, int] = {style: place for place, style in enumerate(tasting.plan.style_order)}
    return tuple(_rank(wine, order) for wine in tasting.wines)


def _rank(wine: Wine, order: dict[str, int]) -> tuple[int, int]:
    place = len(order) if wine.style is None else order.get(wine.style, len(order))
    return place, SWEETNESS[wine.sweetness]


def items_of(
    poured: NDArray[np.bool_],
    twice: tuple[int, ...],
    ranks: tuple[tuple[int, int], ...],
    shuffled: NDArray[np.int64],
) -> Items:
    """The items of a site.

    Args:
        poured: (wines,) which it pours.
        twice: wines it pours twice.
        ranks: of all wines, from `style_ranks`.
        shuffled: (wines,) a random order of all wines, so that the file's order says nothing.
    """
    wines = [w for w in shuffled.tolist() if poured[w]]
    pairs = [(w, False) for w in wines] + [(w, True) for w in wines if w in twice]
    blocks = tuple(
        tuple(i for i, (w, _) in enumerate(pairs) if ranks[w] == rank)
        for rank in sorted({ranks[w] for w in wines})
    )
    return Items(tuple(w for w, _ in pairs), tuple(s for _, s in pairs), blocks)


def flights_of(blocks: tuple[tuple[int, ...], ...], most: int) -> tuple[int, ...]:
    """The flight (from 1) of each position: blocks stay together where they fit.

    A block larger than a flight is cut into nearly equal parts.
    """
    flights: list[int] = []
    flight, filled = 1, 0
    for block in blocks:
        parts = -(-len(block) // most)
        sizes = [len(block) // parts + (p < len(block) % parts) for p in range(parts)]
        for size in sizes:
            if filled and filled + size > most:
                flight, filled = flight + 1, 0
            flights += [flight] * size
            filled += size
    return tuple(flights)
