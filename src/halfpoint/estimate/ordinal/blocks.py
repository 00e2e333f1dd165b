"""Who sits where: tasters and what they share, in blocks that nothing links.

As long as every taster keeps to one site, a block is a site with its tasters and bottles.
Tasters who cross sites join them into one larger block.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import EstimateError
from halfpoint.estimate.connected import parts_of
from halfpoint.estimate.design import Factor

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

# Effects other than tasters' that one block can hold; beyond it dense algebra takes too long.
MOST_SHARED = 1_500
# Places for taster by effect in all (400 MB).
MOST_PLACES = 50_000_000


@dataclass(frozen=True, slots=True)
class Blocks:
    """Where each row's effects stand.

    `count` blocks, each with room for `tasters` tasters and `shared` other effects.  For
    each row: `slot` (n,) its taster's place, `place[k]` (n,) that of its k-th other effect
    among all, `cross[k]` (n,) that of taster by effect, `within[k][l]` (n,) that of effect by
    effect.  `of_taster` (t,) and `of_shared[k]` find the levels' places again.
    """

    count: int
    tasters: int
    shared: int
    slot: Codes
    place: tuple[Codes, ...]
    cross: tuple[Codes, ...]
    within: tuple[tuple[Codes, ...], ...]
    of_taster: Codes
    of_shared: tuple[Codes, ...]


def make_blocks(taster: Codes, shared: tuple[Codes, ...]) -> Blocks:
    """Blocks of tasters (n,) and one or two other effects (n,), the coarsest first.

    Raises:
        EstimateError: tasters cross so many sites that a block grows too large.
    """
    sizes = [int(codes.max()) + 1 for codes in shared]
    who = Factor('taster', taster, int(taster.max()) + 1)
    part = parts_of(who, Factor('shared', shared[0], sizes[0]))
    block = part[shared[0]]
    count = int(part.max()) + 1
    of_taster, tasters = _seats(taster, block, count, 1)
    seats = _number(shared, block, count)
    width = max(int(local.max()) + 1 for local in seats)
    if width > MOST_SHARED or count * tasters * width > MOST_PLACES:
        raise EstimateError(
            f'tasters cross so many sites that {width} effects hang together',
            expected=f'at most {MOST_SHARED:,}',
            remedy='leave sites and bottles out of the order-only check',
        )
    slot = of_taster[taster]
    local = [seats[k][codes] for k, codes in enumerate(shared)]
    return Blocks(
        count,
        tasters,
        width,
        slot,
        tuple(block * width + own for own in local),
        tuple(slot * width + own for own in local),
        tuple(tuple((block * width + own) * width + other for other in local) for own in local),
        of_taster,
        tuple(_first(codes, block * width + own) for codes, own in zip(shared, local, strict=True)),
    )


def _first(codes: Codes, values: Codes) -> Codes:
    """The value that belongs to each level (every row of a level has the same)."""
    found = np.zeros(int(codes.max()) + 1, dtype=np.int64)
    found[codes] = values
    return found


def _seats(codes: Codes, block: Codes, count: int, width: int) -> tuple[Codes, int]:
    """A place of its own for each level, block by block, and how many a block needs."""
    home = _first(codes, block)
    local = _within(home, count)
    most = int(local.max()) + 1
    return (home * most + local) * width, most


def _within(home: Codes, count: int) -> Codes:
    """Number of each level among those of its block, from 0."""
    order = np.argsort(home, kind='stable')
    ends = np.cumsum(np.bincount(home, minlength=count))
    begins = np.concatenate([[0], ends[:-1]])
    local = np.empty(home.size, dtype=np.int64)
    local[order] = np.arange(home.size) - begins[home[order]]
    return local


def _number(shared: tuple[Codes, ...], block: Codes, count: int) -> list[Codes]:
    """Numbers of every other effect's levels among those of the block, one after another."""
    homes = [_first(codes, block) for codes in shared]
    together = _within(np.concatenate(homes), count)
    return np.split(together, np.cumsum([home.size for home in homes])[:-1])
