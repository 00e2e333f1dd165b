"""Hidden second pours: which wines are poured twice at each site."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from halfpoint.plan.cellar import Cellar
from halfpoint.plan.items import style_ranks
from halfpoint.tasting.model import Tasting

Met = NDArray[np.bool_]
# Wines of a block between which two pours of one can be set apart freely.
ROOM_ENOUGH = 3
Twice = tuple[tuple[int, ...], ...]


def choose_twice(
    tasting: Tasting,
    poured: Met,
    seconds: int,
    rng: np.random.Generator,
    kept: dict[int, tuple[int, ...]],
    cellar: Cellar,
) -> tuple[Twice, tuple[str, ...]]:
    """Wines poured twice at each site, those named or drawn so that all take turns; and losses.

    Drawn first are those of style blocks with three wines or more there, so that others can
    stand between the two pours in more than one way.

    Args:
        tasting: the tasting file.
        poured: (sites, wines).
        seconds: how many at each site.
        rng: seeded.
        kept: by number of the site, what is printed already.
        cellar: the bottles at hand, for as many second pours as they give.
    """
    named = tasting.plan.second_pours
    left = cellar.left(poured)
    extra = cellar.twice - cellar.once
    ranks = style_ranks(tasting)
    alike = np.array([[one == other for other in ranks] for one in ranks])
    counts = np.zeros(poured.shape[1])
    chosen: list[tuple[int, ...]] = []
    short = 0
    for site, row in enumerate(poured):
        here = row & (left >= extra[site])
        if site in kept:
            mine = tuple(w for w in kept[site] if row[w])
        elif isinstance(named, int):
            turns = counts + rng.random(counts.size) * 0.5
            crowded = np.minimum(alike @ row.astype(np.int64), ROOM_ENOUGH)
            mine = _drawn(here, turns - crowded * poured.size, seconds)
            short += min(seconds, int(row.sum())) - len(mine)
        else:
            asked = [w for w, wine in enumerate(tasting.wines) if wine.key in named and row[w]]
            mine = tuple(w for w in asked if here[w])
            short += len(asked) - len(mine)
        left[list(mine)] -= extra[site]
        counts[list(mine)] += 1
        chosen.append(mine)
    said = f"The bottles at hand do not give {short} of the hidden second pours asked for."
    return tuple(chosen), (said,) if short else ()


def _drawn(here: Met, turns: NDArray[np.float64], seconds: int) -> tuple[int, ...]:
    order = np.argsort(np.where(here, turns, np.inf))
    return tuple(sorted(order[: min(seconds, int(here.sum()))].tolist()))
