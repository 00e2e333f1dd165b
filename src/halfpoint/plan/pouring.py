"""Which site pours which wines, and which of them twice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import TastingFileError
from halfpoint.plan.again import choose_twice
from halfpoint.plan.blocks import admissible, balanced_over, smallest_blocks
from halfpoint.plan.cellar import Cellar, cellar_of
from halfpoint.plan.exchange import Allocation, Demand, allocate, efficiency
from halfpoint.plan.rooms import Room
from halfpoint.tasting.model import Tasting

Met = NDArray[np.bool_]
Progress = Callable[[float], None]

MOST_WINES = 500
# A small search is repeated until it is balanced, or so often.
MOST_STARTS = 200
SEARCH_WORK = 12_000


@dataclass(frozen=True, slots=True)
class Pouring:
    """`poured` (sites, wines) with its efficiency; `twice[s]` wines poured twice at site s."""

    poured: Met
    efficiency: float
    connected: bool
    twice: tuple[tuple[int, ...], ...]
    losses: tuple[str, ...]


def choose_pouring(
    tasting: Tasting,
    rooms: tuple[Room, ...],
    rng: np.random.Generator,
    *,
    kept: Met | None = None,
    kept_twice: dict[int, tuple[int, ...]] | None = None,
    progress: Progress = lambda _: None,
) -> Pouring:
    """Every wine everywhere if that fits, balanced blocks if they exist, else a search.

    Args:
        tasting: the tasting file.
        rooms: the sites.
        rng: seeded.
        kept: (sites, wines) what was already printed and has to stay.
        kept_twice: second pours already printed, by number of the site.
        progress: told the share of a search that is done.

    Raises:
        TastingFileError: what is asked cannot be had; the nearest that can is named.
    """
    wines = len(tasting.wines)
    check_wines(tasting)
    seconds = _second_count(tasting)
    cellar = cellar_of(tasting, [room.seats for room in rooms])
    demand = _demand(tasting, rooms, seconds, cellar, kept)
    _refuse_impossible(tasting, rooms, demand, seconds)
    allocation, losses = _allocation(tasting, rooms, demand, rng, kept, progress)
    if not allocation.connected:
        raise _not_linked(tasting, demand, wines)
    losses = (*losses, *_lonely(tasting, rooms, allocation.poured))
    twice, fewer = choose_twice(tasting, allocation.poured, seconds, rng, kept_twice or {}, cellar)
    return Pouring(allocation.poured, allocation.efficiency, True, twice, (*losses, *fewer))


def check_wines(tasting: Tasting) -> None:
    """Refuse too few wines to compare, and more than any tasting has.

    Raises:
        TastingFileError: one wine, or more than 500.
    """
    wines = len(tasting.wines)
    if 2 <= wines <= MOST_WINES:
        return
    raise TastingFileError(
        f'{wines} wine' if wines == 1 else f'{wines:,} wines',
        where=f'{tasting.source}: [[wine]]',
        expected=f'2 to {MOST_WINES} wines to plan for',
        remedy='add a wine' if wines == 1 else 'split the tasting into several files',
    )


def _second_count(tasting: Tasting) -> int:
    asked = tasting.plan.second_pours
    count = asked if isinstance(asked, int) else len(asked)
    where = f'{tasting.source}: plan, key second_pours'
    if count < 0 or count > len(tasting.wines):
        raise TastingFileError(
            f'{count} second pours of {len(tasting.wines)} wines',
            where=where,
            expected=f'0 to {len(tasting.wines)}; each wine is poured at most twice',
            remedy=f'ask for at most {len(tasting.wines)}',
        )
    if isinstance(asked, int):
        return asked
    known = {wine.key for wine in tasting.wines}
    for name in asked:
        if name not in known or asked.count(name) > 1:
            found = f"'{name}'" if name not in known else f"'{name}' twice"
            raise TastingFileError(
                found, where=where, expected='keys of wines, each once', remedy='correct the key'
            )
    return count


def _demand(
    tasting: Tasting, rooms: tuple[Room, ...], seconds: int, cellar: Cellar, kept: Met | None
) -> Demand:
    keys = [wine.key for wine in tasting.wines]
    pinned = np.array([[key in room.pinned for key in keys] for room in rooms])
    barred = np.array([[key in room.missing for key in keys] for room in rooms])
    chosen = tasting.plan.second_pours
    if not isinstance(chosen, int):
        pinned |= np.array([key in chosen for key in keys]) & ~barred
    if kept is not None:
        pinned |= kept & ~barred
    capacity = np.array([min(room.capacity - seconds, len(keys)) for room in rooms])
    capacity = np.maximum(capacity, pinned.sum(axis=1)) if kept is not None else capacity
    assumed = tasting.plan.assumed
    seats = np.array([room.seats for room in rooms])
    weight = 1.0 / (assumed.bottle + assumed.residual / seats)
    capacity = np.minimum(capacity, (~barred).sum(axis=1))
    most_sites = cellar.most_sites(~barred)
    capacity = _within_supply(capacity, pinned, np.minimum(most_sites, (~barred).sum(axis=0)))
    return Demand(capacity, pinned, barred, most_sites, weight / weight.mean())


def _within_supply(
    capacity: NDArray[np.int64], pinned: Met, reach: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Capacities lowered, the largest first, until the bottles at hand can fill them."""
    capacity, least = capacity.copy(), pinned.sum(axis=1)
    for _ in range(int(capacity.sum() - reach.sum())):
        open_to = np.where(capacity > least, capacity, -1)
        if open_to.max() < 1:
            break
        capacity[int(np.argmax(open_to))] -= 1
    return capacity


def _lonely(tasting: Tasting, rooms: tuple[Room, ...], poured: Met) -> tuple[str, ...]:
    """Sites that pour a single wine, in words.

    Raises:
        TastingFileError: a site would pour none at all.
    """
    count = poured.sum(axis=1)
    site = int(np.argmin(count))
    if count[site] == 0:
        raise TastingFileError(
            'no wine is left for the site',
            where=f"{tasting.source}: site '{rooms[site].key}'",
            expected='at least two wines at each site, to compare them',
            remedy='buy more bottles (or leave the key bottles out to plan the buying)',
        )
    names = ", ".join(room.key for room, wines in zip(rooms, count, strict=True) if wines == 1)
    return (f"Only one wine is poured, so nothing is compared, at: {names}.",) if names else ()


def _refuse_impossible(
    tasting: Tasting, rooms: tuple[Room, ...], demand: Demand, seconds: int
) -> None:
    reach = np.minimum(demand.most_sites, (~demand.barred).sum(axis=0))
    for place, wine in enumerate(tasting.wines):
        pinned = int(demand.pinned[:, place].sum())
        if reach[place] < max(pinned, 1):
            raise TastingFileError(
                f'the bottles at hand reach {reach[place]} of {max(pinned, 1)} sites',
                where=f"{tasting.source}: wine {place + 1} '{wine.key}', key bottles",
                expected='enough bottles for every site that has to pour it',
                remedy='buy more bottles (or leave the key out to plan the buying), or unpin it',
            )
    for number, room in enumerate(rooms):
        pinned = int(demand.pinned[number].sum())
        if demand.capacity[number] < pinned or room.capacity <= seconds:
            raise TastingFileError(
                f'{room.capacity} pours for {pinned} pinned wines and {seconds} second pours',
                where=f"{tasting.source}: site '{room.key}', capacity",
                expected=f'at least {max(pinned, 1) + seconds}',
                remedy=f'raise capacity to {max(pinned, 1) + seconds}, or pin fewer wines',
            )
    if int(demand.capacity.sum()) < len(tasting.wines):
        raise _not_linked(tasting, demand, len(tasting.wines))


def _not_linked(tasting: Tasting, demand: Demand, wines: int) -> TastingFileError:
    sites = demand.capacity.size
    least = -(-(wines - 1) // sites) + 1
    return TastingFileError(
        f'{wines} wines cannot all be linked over {sites} sites of {demand.capacity.max()} wines',
        where=f'{tasting.source}: plan, key capacity',
        expected='sites that share wines, so that all can be compared',
        remedy=f'nearest: {least} wines at each site, or {_fewest_wines(demand)} wines in all',
    )


def _fewest_wines(demand: Demand) -> int:
    return int((demand.capacity - 1).sum()) + 1


def _allocation(
    tasting: Tasting,
    rooms: tuple[Room, ...],
    demand: Demand,
    rng: np.random.Generator,
    kept: Met | None,
    progress: Progress,
) -> tuple[Allocation, tuple[str, ...]]:
    sites, wines = demand.pinned.shape
    every = ~demand.barred
    fits = (every.sum(axis=1) <= demand.capacity).all()
    if fits and (every.sum(axis=0) <= demand.most_sites).all():
        found = 1.0 if every.all() else efficiency(every, demand.weight)
        return Allocation(every, found, found > 0.0), ()
    blocks = None if kept is not None else _balanced(demand, rng)
    if blocks is not None:
        return Allocation(blocks, efficiency(blocks, demand.weight), True), ()
    starts = int(np.clip(SEARCH_WORK // (sites * wines), 2, MOST_STARTS))
    found_by_search = allocate(demand, rng, starts=starts, progress=progress)
    losses = _searched(demand, found_by_search, kept)
    if demand.most_sites.sum() < sites * wines - demand.barred.sum():
        losses = (*losses, _short_of_bottles(tasting, demand, found_by_search.poured))
    return found_by_search, losses


def _short_of_bottles(tasting: Tasting, demand: Demand, poured: Met) -> str:
    short = np.flatnonzero(poured.sum(axis=0) >= demand.most_sites)
    names = ", ".join(tasting.wines[wine].name for wine in short.tolist())
    if not names:
        return "The bottles at hand would not reach every site."
    return f"The bottles at hand do not reach every site, for {names}."


def _balanced(demand: Demand, rng: np.random.Generator) -> Met | None:
    """Balanced blocks, repeated, where nothing stands in their way."""
    sites, wines = demand.pinned.shape
    size = int(demand.capacity[0])
    free = not demand.pinned.any() and not demand.barred.any()
    if not free or np.ptp(demand.capacity) or np.ptp(demand.weight) > 1e-9:
        return None
    blocks = balanced_over(wines, size, sites)
    if blocks is None:
        return None
    poured = np.zeros((sites, wines), dtype=bool)
    poured[np.arange(sites)[:, None], blocks] = True
    poured = poured[:, rng.permutation(wines)]
    if (poured.sum(axis=0) > demand.most_sites).any():
        return None
    return poured[rng.permutation(sites)]


def _searched(demand: Demand, found: Allocation, kept: Met | None) -> tuple[str, ...]:
    """Why no balanced design serves, and what was got instead."""
    sites, wines = demand.pinned.shape
    got = f"every pair of wines is compared with {found.efficiency:.1%} of the best efficiency."
    if kept is not None:
        return (f"What is printed stays where it is poured: {got}",)
    if np.ptp(demand.capacity) or demand.pinned.any() or demand.barred.any():
        return (f"The sites differ, so the wines were shared out by search: {got}",)
    size = int(demand.capacity[0])
    if found.efficiency > 1.0 - 1e-9:
        return ()
    if admissible(wines, size, sites) is None:
        least = smallest_blocks(wines, size)
        return (
            (
                f"No balanced design exists for {wines} wines at {sites} sites, {size} at each "
                f"(the nearest has {least} sites); shared out by search: {got}"
            ),
        )
    return (f"No balanced design was found for this number of sites; by search: {got}",)
