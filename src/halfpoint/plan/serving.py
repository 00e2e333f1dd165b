"""Serving orders at one site: Williams squares within style blocks, balanced over the tasting.

Each block of m wines has its own square.  A site with N orders takes whole squares while it
can and, for what is left, neighbouring rows that go on where the last site stopped, so that
within a site and over all sites every wine of a block stands at each of its positions
equally often, or once more.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from halfpoint.plan.williams import latin_square

Orders = NDArray[np.int64]


@dataclass
class SquareRows:
    """Hands out rows of the squares for blocks of one size, remembering where it stopped."""

    size: int
    next_row: int = 0
    mirrored: bool = False
    square: Orders = field(init=False)

    def __post_init__(self) -> None:
        self.square = latin_square(self.size)

    def take(self, count: int, rng: np.random.Generator) -> Orders:
        """So many orders (count, m) of wines 0 to m - 1, in shuffled sequence."""
        whole, left = divmod(count, self.size)
        parts = [self._whole_square() for _ in range(whole)]
        rows = (self.next_row + np.arange(left)) % self.size
        self.next_row = int(self.next_row + left) % self.size
        parts.append(self.square[rows])
        orders = np.vstack(parts)
        return orders[rng.permutation(count)]

    def _whole_square(self) -> Orders:
        """The square; for odd sizes in turn with its mirror image, which balances neighbours."""
        if self.size % 2 == 0:
            return self.square
        self.mirrored = not self.mirrored
        return self.square if self.mirrored else self.square[:, ::-1]


def serving_orders(
    blocks: tuple[tuple[int, ...], ...],
    count: int,
    rows: dict[tuple[int, int], SquareRows],
    rng: np.random.Generator,
) -> Orders:
    """Orders (count, pours) of items, block after block.

    Args:
        blocks: items of each style block, in serving order of the blocks.
        count: how many orders.
        rows: where each block's squares stand, by (place of the block, size); kept over sites.
        rng: for the shuffling.
    """
    parts = []
    for place, block in enumerate(blocks):
        key = (place, len(block))
        source = rows.setdefault(key, SquareRows(len(block)))
        parts.append(np.array(block, dtype=np.int64)[source.take(count, rng)])
    return np.hstack(parts) if parts else np.zeros((count, 0), dtype=np.int64)


@dataclass(frozen=True, slots=True)
class Tallies:
    """How often each kind of pour stood at each position: here, and in the whole tasting.

    `here` (items, positions) counts this site's items, `everywhere` (kinds, positions) all
    sites' kinds; `kind` (items,) says which kind an item is.
    """

    here: Orders
    everywhere: Orders
    kind: Orders

    def add(self, order: Orders, sign: int) -> None:
        """Count an order, or take it out again."""
        positions = np.arange(order.size)
        self.here[order, positions] += sign
        self.everywhere[self.kind[order], positions] += sign


# A site's own evenness counts so many times that of the whole tasting.
OWN_ROOM = 8
MOST_PASSES = 6


def settle(
    orders: Orders, twins: dict[int, int], block_of: dict[int, int], tallies: Tallies
) -> int:
    """Swap pours within orders, in place, until positions are even and no twins touch.

    Args:
        orders: (count, pours) items; already counted in the tallies.
        twins: second pour to first pour, both items.
        block_of: style block of each item; swaps stay within a block.
        tallies: kept up to date.

    Returns:
        How many orders still serve a wine and its second pour side by side.
    """
    blocks = np.array([block_of[item] for item in range(len(block_of))], dtype=np.int64)
    for _ in range(MOST_PASSES):
        if not sum(_settle_one(order, twins, blocks, tallies) for order in orders):
            break
    return sum(_touching(order, twins) > 0 for order in orders)


def _touching(order: Orders, twins: dict[int, int]) -> int:
    """How many second pours stand beside their first."""
    place = np.argsort(order)
    return sum(abs(int(place[a]) - int(place[b])) < 2 for a, b in twins.items())


def _settle_one(order: Orders, twins: dict[int, int], blocks: Orders, tallies: Tallies) -> bool:
    """The best swap of one order, if there is a good one."""
    here, everywhere = tallies.here[order], tallies.everywhere[tallies.kind[order]]
    counts = OWN_ROOM * here + everywhere
    own = np.diagonal(counts)
    # Change of the sum of squared counts when the pours at places i and j change places.
    change = counts - own[:, None]
    change = change + change.T + 2 * (OWN_ROOM + 1)
    of_block = blocks[order]
    change = np.where(of_block[:, None] == of_block, change, np.iinfo(np.int64).max)
    np.fill_diagonal(change, np.iinfo(np.int64).max)
    touching = _touching(order, twins)
    for flat in np.argsort(change, axis=None, kind='stable').tolist():
        i, j = divmod(flat, order.size)
        evens = change[i, j] < 0
        if change[i, j] == np.iinfo(np.int64).max or not (evens or touching):
            return False
        trial = order.copy()
        trial[[i, j]] = trial[[j, i]]
        if _touching(trial, twins) < touching + evens:
            tallies.add(order, -1)
            order[:] = trial
            tallies.add(order, 1)
            return True
    return False
