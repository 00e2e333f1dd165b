"""The rooms to plan for: seats, tables, tasters, and what each may pour."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from halfpoint.errors import TastingFileError
from halfpoint.plan.model import Plan
from halfpoint.tasting.model import Site, Tasting

ONLY_ROOM = 'room'


@dataclass(frozen=True, slots=True)
class Room:
    """One site to plan for; `tasters` has who sits on each seat, None where nobody is listed."""

    key: str
    seats: int
    capacity: int
    tasters: tuple[str | None, ...]
    pinned: frozenset[str]
    missing: frozenset[str]

    def taster_at(self, seat: int) -> str | None:
        """Who sits on a seat (from 1), if listed."""
        return self.tasters[seat - 1]


def rooms_of(tasting: Tasting, previous: Plan | None = None) -> tuple[Room, ...]:
    """Every site of the tasting file; a file without sites is one room.

    Who had a seat in a `previous` plan keeps it; others take the free seats in turn.

    Raises:
        TastingFileError: a wine pinned or missing that does not exist, or more tasters than seats.
    """
    by_site: dict[str | None, list[str]] = defaultdict(list)
    for taster in tasting.tasters:
        by_site[taster.site].append(taster.key)
    sites = tasting.sites or (Site(key=ONLY_ROOM, name=tasting.title),)
    if not tasting.sites:
        by_site[ONLY_ROOM] = [taster.key for taster in tasting.tasters]
    known = {wine.key for wine in tasting.wines}
    _check_names(tasting, 'plan, key pinned', tasting.plan.pinned, known)
    sat = _seats_before(previous)
    rooms = []
    for place, site in enumerate(sites, start=1):
        for key in ('pinned', 'missing'):
            where = f"site {place} '{site.key}', key {key}"
            _check_names(tasting, where, getattr(site, key), known)
        tasters = by_site[site.key]
        kept = {taster: sat[site.key, taster] for taster in tasters if (site.key, taster) in sat}
        rooms.append(_room(tasting, site, tasters, kept, place))
    return tuple(rooms)


def _seats_before(previous: Plan | None) -> dict[tuple[str, str], int]:
    pours = previous.pours if previous is not None else ()
    return {(pour.site, pour.taster): pour.seat for pour in pours if pour.taster is not None}


def _room(
    tasting: Tasting, site: Site, tasters: list[str], kept: dict[str, int], place: int
) -> Room:
    settings = tasting.plan
    seats = site.seats or max(len(tasters), *kept.values(), 0) or settings.seats
    if seats < len(tasters):
        raise TastingFileError(
            f'{seats} seats for {len(tasters)} tasters',
            where=f"{tasting.source}: site {place} '{site.key}', key seats",
            expected=f'at least {len(tasters)} seats',
            remedy='raise seats, or move tasters to another site',
        )
    pinned = frozenset(settings.pinned) | frozenset(site.pinned)
    missing = frozenset(site.missing)
    seated = _seated(tasters, kept, seats)
    return Room(
        site.key, seats, site.capacity or settings.capacity, seated, pinned - missing, missing
    )


def _seated(tasters: list[str], kept: dict[str, int], seats: int) -> tuple[str | None, ...]:
    by_seat = {seat: taster for taster, seat in kept.items() if seat <= seats}
    sitting = set(by_seat.values())
    waiting = iter([taster for taster in tasters if taster not in sitting])
    return tuple(
        by_seat[seat] if seat in by_seat else next(waiting, None) for seat in range(1, seats + 1)
    )


def _check_names(tasting: Tasting, where: str, names: tuple[str, ...], known: set[str]) -> None:
    for name in names:
        if name not in known:
            raise TastingFileError(
                f"'{name}'",
                where=f'{tasting.source}: {where}',
                expected=f'keys of wines in this file: {", ".join(sorted(known)[:12])}',
                remedy='correct the key, or add the wine',
            )
