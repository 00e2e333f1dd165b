"""What of an earlier plan is already on paper, and therefore stays."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from halfpoint.plan.items import Items
from halfpoint.plan.model import Plan, Pour, Retired
from halfpoint.plan.rooms import Room
from halfpoint.tasting.model import Tasting

Item = tuple[int, bool]
Orders = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Printed:
    """An earlier plan by number of site: (wine, second) → code and bag; seat → order of those.

    `poured` (sites, wines) is None when nothing was printed.
    """

    poured: NDArray[np.bool_] | None = None
    twice: dict[int, tuple[int, ...]] = field(default_factory=dict)
    names: dict[int, dict[Item, tuple[str, str]]] = field(default_factory=dict)
    orders: dict[int, dict[int, list[Item]]] = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    def codes_at(self, site: int) -> set[str]:
        """Codes printed at a site, those of wines since gone included."""
        return {code for code, _ in self.names.get(site, {}).values()}

    def bags_at(self, site: int) -> set[str]:
        """Bag letters printed at a site."""
        return {bag for _, bag in self.names.get(site, {}).values()}

    def names_at(self, site: int, items: Items) -> dict[int, tuple[str, str]]:
        """Printed code and bag of the items that have one."""
        known = self.names.get(site, {})
        pairs = enumerate(zip(items.wine, items.second, strict=True))
        return {i: known[pair] for i, pair in pairs if pair in known}

    def orders_at(self, site: int, items: Items) -> dict[int, Orders]:
        """Printed orders by seat: without what is gone, what is new at the end of its block."""
        number = {pair: i for i, pair in enumerate(zip(items.wine, items.second, strict=True))}
        block_of = items.block_of
        made = {}
        for seat, order in self.orders.get(site, {}).items():
            kept = [number[item] for item in order if item in number]
            added = [i for i in range(len(items.wine)) if i not in kept]
            for item in sorted(added, key=lambda i: block_of[i]):
                before = [p for p, i in enumerate(kept, 1) if block_of[i] <= block_of[item]]
                kept.insert(max(before, default=0), item)
            made[seat] = np.array(kept, dtype=np.int64)
        return made


def printed_of(plan: Plan | None, tasting: Tasting, rooms: tuple[Room, ...]) -> Printed:
    """What an earlier plan leaves for the sites and wines of today's tasting file."""
    if plan is None:
        return Printed()
    wine_number = {wine.key: w for w, wine in enumerate(tasting.wines)}
    site_number = {room.key: s for s, room in enumerate(rooms)}
    poured = np.zeros((len(rooms), len(tasting.wines)), dtype=bool)
    names: dict[int, dict[Item, tuple[str, str]]] = defaultdict(dict)
    orders: dict[int, dict[int, list[Item]]] = defaultdict(lambda: defaultdict(list))
    again: dict[int, set[int]] = defaultdict(set)
    gone: set[str] = set()
    for pour in plan.pours:
        site = site_number.get(pour.site)
        if site is None:
            gone.add(pour.site)
            continue
        item = (_number(wine_number, pour.wine), pour.second_pour)
        names[site][item] = (pour.code, pour.bag)
        orders[site][pour.seat].append(item)
        if item[0] >= 0:
            poured[site, item[0]] = True
            again[site] |= {item[0]} if pour.second_pour else set()
    for old in plan.retired:
        if old.site in site_number:
            item = (_number(wine_number, old.wine), old.second_pour)
            names[site_number[old.site]][item] = (old.code, old.bag)
    twice = {site: tuple(sorted(again[site])) for site in orders}
    return Printed(poured, twice, dict(names), dict(orders), _said(plan, gone, rooms))


def _number(numbers: dict[str, int], wine: str) -> int:
    """The wine's number; one since gone has a negative number of its own."""
    return numbers.setdefault(wine, -1 - len(numbers))


def retired_of(plan: Plan | None, pours: Iterable[Pour]) -> tuple[Retired, ...]:
    """What an earlier plan printed, or held retired, that is not among these pours."""
    if plan is None:
        return ()
    now = {(pour.site, pour.wine, pour.second_pour) for pour in pours}
    before: tuple[Pour | Retired, ...] = (*plan.pours, *plan.retired)
    once = {(old.site, old.wine, old.second_pour): (old.code, old.bag) for old in before}
    return tuple(Retired(*item, *names) for item, names in once.items() if item not in now)


def _said(plan: Plan, gone: set[str], rooms: tuple[Room, ...]) -> tuple[str, ...]:
    known = {pour.site for pour in plan.pours}
    new = [room.key for room in rooms if room.key not in known]
    notes = ["Codes, bags and orders already planned stay as they were."]
    if gone:
        notes.append(f"Sites no longer in the file: {', '.join(sorted(gone))}.")
    if new:
        notes.append(f"New sites: {', '.join(new)}.")
    return tuple(notes)
