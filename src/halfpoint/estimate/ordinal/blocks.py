"""Who sits where: tasters and what they share, in blocks that nothing links.

As long as every taster keeps to one site, a block is a site with its tasters and bottles.
Tasters who cross sites join them into one larger block.  Within a block everything is told
by cells of taster by *place*, a place being a combination of the shared effects: a bottle.
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
# Cells of taster by place in all (400 MB).
MOST_CELLS = 50_000_000


@dataclass(frozen=True, slots=True)
class Blocks:
    """`count` blocks, each with room for `tasters` tasters, `places` places, `shared` effects.

    For each row: `slot` (n,) of its taster, `place` (n,) and `cell` (n,) of taster by place,
    all counted through the blocks.  `effect[k]` (b, p) is the place among a block's shared
    effects of the k-th effect at each place, and `used` (b, p) tells places that exist.
    `of_taster` (t,) and `of_shared[k]` find the levels again.
    """

    count: int
    tasters: int
    places: int
    shared: int
    slot: Codes
    place: Codes
    cell: Codes
    effect: tuple[Codes, ...]
    used: NDArray[np.bool_]
    of_taster: Codes
    of_shared: tuple[Codes, ...]

    def loads(self, which: int) -> Floats:
        """1 where a place has a shared effect, (b, p, m), for the effect number `which`."""
        made = np.zeros((self.count, self.places, self.shared))
        block, place = np.nonzero(self.used)
        made[block, place, self.effect[which][block, place]] = 1.0
        return made


def make_blocks(taster: Codes, shared: tuple[Codes, ...]) -> Blocks:
    """Blocks of tasters (n,) and one or two other effects (n,), the coarsest first.

    Raises:
        EstimateError: tasters cross so many sites that a block grows too large.
    """
    part = parts_of(_factor(taster), _factor(shared[0]))
    block = part[shared[0]]
    count = int(part.max()) + 1
    combined = _together(shared)
    homes = [_first(codes, block) for codes in (taster, combined, *shared)]
    of_taster, of_place = _within(homes[0], count), _within(homes[1], count)
    local = _numbered(homes[2:], count)
    tasters, places = int(of_taster.max()) + 1, int(of_place.max()) + 1
    width = max(int(numbers.max()) + 1 for numbers in local)
    _refuse_large(width, count * tasters * places)
    slot = (homes[0] * tasters + of_taster)[taster]
    place = (homes[1] * places + of_place)[combined]
    effect = []
    for codes, numbers in zip(shared, local, strict=True):
        at = np.zeros(count * places, dtype=np.int64)
        at[place] = numbers[codes]
        effect.append(at.reshape(count, places))
    used = np.bincount(place, minlength=count * places).reshape(count, places) > 0
    return Blocks(
        count,
        tasters,
        places,
        width,
        slot,
        place,
        slot * places + of_place[combined],
        tuple(effect),
        used,
        homes[0] * tasters + of_taster,
        tuple(home * width + own for home, own in zip(homes[2:], local, strict=True)),
    )


def _refuse_large(width: int, cells: int) -> None:
    if width > MOST_SHARED or cells > MOST_CELLS:
        raise EstimateError(
            f'tasters cross so many sites that {width} effects hang together',
            expected=f'at most {MOST_SHARED:,}',
            remedy='leave sites and bottles out of the order-only check',
        )


def _factor(codes: Codes) -> Factor:
    return Factor('', codes, int(codes.max()) + 1)


def _together(shared: tuple[Codes, ...]) -> Codes:
    """Codes of the combinations of all shared effects, without a gap."""
    codes = shared[0]
    for other in shared[1:]:
        codes = codes * (int(other.max()) + 1) + other
    return np.unique(codes, return_inverse=True)[1].astype(np.int64)


def _first(codes: Codes, values: Codes) -> Codes:
    """The value that belongs to each level (every row of a level has the same)."""
    found = np.zeros(int(codes.max()) + 1, dtype=np.int64)
    found[codes] = values
    return found


def _within(home: Codes, count: int) -> Codes:
    """Number of each level among those of its block, from 0."""
    order = np.argsort(home, kind='stable')
    ends = np.cumsum(np.bincount(home, minlength=count))
    begins = np.concatenate([[0], ends[:-1]])
    local = np.empty(home.size, dtype=np.int64)
    local[order] = np.arange(home.size) - begins[home[order]]
    return local


def _numbered(homes: list[Codes], count: int) -> list[Codes]:
    """Numbers of every shared effect's levels in the block, one effect after another."""
    together = _within(np.concatenate(homes), count)
    return np.split(together, np.cumsum([home.size for home in homes])[:-1])
