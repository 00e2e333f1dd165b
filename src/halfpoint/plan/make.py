"""From a tasting file to the complete plan: the way it goes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from string import ascii_uppercase

import numpy as np
from numpy.typing import NDArray

from halfpoint.plan.codes import draw_codes
from halfpoint.plan.items import Items, flights_of, items_of, style_ranks
from halfpoint.plan.model import Plan, Pour
from halfpoint.plan.pouring import choose_pouring
from halfpoint.plan.printed import Printed, printed_of, retired_of
from halfpoint.plan.rooms import Room, rooms_of
from halfpoint.plan.serving import SquareRows, Tallies, serving_orders, settle
from halfpoint.plan.tally import (
    USUAL_ALCOHOL,
    alcohol_of,
    balance_of,
    bottles_of,
    money_of,
    spare_losses,
)
from halfpoint.tasting.model import Tasting

Orders = NDArray[np.int64]
Progress = Callable[[float], None]

# Ways of naming the wines of an incomplete site that are tried for evenness.
NAMINGS = 8


def make_plan(
    tasting: Tasting,
    *,
    seed: int = 20,
    previous: Plan | None = None,
    progress: Progress = lambda _: None,
) -> Plan:
    """The plan of a tasting; with a `previous` one, nothing already printed changes.

    Codes, bags and the orders of seats that were printed stay; only what is new is drawn.

    Args:
        tasting: the tasting file.
        seed: the same seed and file give the same plan.
        previous: the plan whose papers are printed.
        progress: told the share of the work that is done.

    Raises:
        TastingFileError: what is asked cannot be had; the nearest that can is named.
    """
    rng = np.random.default_rng(seed)
    rooms = rooms_of(tasting, previous)
    printed = printed_of(previous, tasting, rooms)
    pouring = choose_pouring(
        tasting,
        rooms,
        rng,
        kept=printed.poured,
        kept_twice=printed.twice,
        progress=progress,
    )
    table = _Table(tasting, rng, printed)
    pours: list[Pour] = []
    for number, room in enumerate(rooms):
        items = items_of(
            pouring.poured[number], pouring.twice[number], style_ranks(tasting), table.shuffled
        )
        pours += table.serve(number, room, items)
    bottles = bottles_of(tasting, pours)
    return Plan(
        tasting=tasting.key,
        seed=seed,
        pours=tuple(pours),
        balance=balance_of(tasting, pours, pouring.efficiency, connected=pouring.connected),
        bottles=bottles,
        money=money_of(tasting, bottles),
        alcohol=alcohol_of(tasting, pours),
        losses=(
            *pouring.losses,
            *_style_losses(tasting),
            *table.losses(),
            *spare_losses(tasting, bottles),
        ),
        notes=(*printed.notes, *table.notes(), *_notes(tasting)),
        retired=retired_of(previous, pours),
    )


@dataclass(frozen=True, slots=True)
class _Names:
    """Code and bag of each item at a site."""

    codes: tuple[str, ...]
    bags: tuple[str, ...]


class _Table:
    """Serves one site after another, remembering what keeps the whole tasting even."""

    def __init__(self, tasting: Tasting, rng: np.random.Generator, printed: Printed) -> None:
        self.tasting = tasting
        self.rng = rng
        self.printed = printed
        self.shuffled: NDArray[np.int64] = rng.permutation(len(tasting.wines))
        self.rows: dict[tuple[int, int], SquareRows] = {}
        self.stuck = 0
        self.late: set[int] = set()
        self.unlike = False
        self._counts: NDArray[np.int64] = np.zeros((2 * len(tasting.wines), 0), dtype=np.int64)

    def serve(self, number: int, room: Room, items: Items) -> list[Pour]:
        """All pours of a site, seat by seat in serving order."""
        old = self.printed.orders_at(number, items)
        seats = range(1, room.seats + 1)
        new = [seat for seat in seats if seat not in old]
        self._compare(number, items, old)
        orders = self._orders(items, room, new)
        names = self._names(number, items)
        flights = flights_of(items.blocks, self.tasting.plan.flight)
        pours = []
        for seat in seats:
            order = old[seat] if seat in old else orders[seat]
            pours += self._pours(room, seat, items, order, names, flights)
        self._count([old[s] if s in old else orders[s] for s in seats], items)
        return pours

    def _compare(self, number: int, items: Items, old: dict[int, Orders]) -> None:
        """Note what comes too late for the orders that are printed."""
        if not old:
            return
        printed = {item for order in self.printed.orders[number].values() for item in order}
        pairs = zip(items.wine, items.second, strict=True)
        self.late |= {wine for wine, second in pairs if (wine, second) not in printed}
        asked = self.tasting.plan.second_pours
        if isinstance(asked, int):
            self.unlike |= len(items.twins) != min(asked, len(items.wine) - len(items.twins))
        else:
            wines = {self.tasting.wines[items.wine[item]].key for item in items.twins}
            self.unlike |= wines != {self.tasting.wines[w].key for w in items.wine} & set(asked)

    def _orders(self, items: Items, room: Room, seats: list[int]) -> dict[int, Orders]:
        """Serving orders for seats without one, shared as the tasting file asks."""
        groups = [self._group(room, seat) for seat in seats]
        distinct = sorted(set(groups))
        orders = serving_orders(items.blocks, len(distinct), self.rows, self.rng)
        if items.twins or self.printed.poured is not None or not self._all(items):
            orders = self._renamed(orders, items)
            self._settle(orders, items)
        of_group = dict(zip(distinct, orders, strict=True))
        return {seat: of_group[group] for seat, group in zip(seats, groups, strict=True)}

    def _group(self, room: Room, seat: int) -> int:
        match self.tasting.plan.orders:
            case 'taster':
                return seat
            case 'table':
                return (seat - 1) // self.tasting.plan.table_seats
            case _:
                return 0

    def _all(self, items: Items) -> bool:
        return len(items.wine) == len(self.tasting.wines)

    def _settle(self, orders: Orders, items: Items) -> None:
        """Even out positions and part twins, then leave the counting to `serve`."""
        positions = orders.shape[1]
        self._widen(positions)
        kind = self._kinds(items)
        here = np.zeros((kind.size, positions), dtype=np.int64)
        tallies = Tallies(here, self._counts[:, :positions].copy(), kind)
        for order in orders:
            tallies.add(order, 1)
        self.stuck += settle(orders, items.twins, items.block_of, tallies)

    def _renamed(self, orders: Orders, items: Items) -> Orders:
        """Of several namings of a block's items, the one that keeps the tasting most even."""
        kind = self._kinds(items)
        best, least = orders, np.inf
        for _ in range(NAMINGS):
            rename = np.arange(len(items.wine))
            for block in items.blocks:
                rename[list(block)] = self.rng.permutation(block)
            trial = rename[orders]
            spread = float(self._at(kind[trial]).sum())
            if spread < least:
                best, least = trial, spread
        return best

    def _kinds(self, items: Items) -> NDArray[np.int64]:
        """Number of each item's wine, second pours apart."""
        return np.asarray(np.array(items.wine) * 2 + np.array(items.second), dtype=np.int64)

    def _at(self, kinds: Orders) -> NDArray[np.int64]:
        """How often each kind stood at each position before, for every pour of some orders."""
        self._widen(kinds.shape[1])
        return self._counts[kinds, np.arange(kinds.shape[1])]

    def _count(self, orders: list[Orders], items: Items) -> None:
        kind = self._kinds(items)
        for order in orders:
            self._widen(order.size)
            np.add.at(self._counts, (kind[order], np.arange(order.size)), 1)

    def _widen(self, positions: int) -> None:
        missing = positions - self._counts.shape[1]
        if missing > 0:
            self._counts = np.pad(self._counts, ((0, 0), (0, missing)))

    def _names(self, number: int, items: Items) -> _Names:
        """Printed codes and bags, and new ones for what is new."""
        old = self.printed.names_at(number, items)
        new = [i for i in range(len(items.wine)) if i not in old]
        avoid = {*self.tasting.plan.avoid_codes, *self.printed.codes_at(number)}
        codes = draw_codes(len(new), self.rng, avoid=avoid)
        used = self.printed.bags_at(number)
        free = [bag for bag in _bag_letters(len(items.wine) + len(used)) if bag not in used]
        bags = [free[i] for i in self.rng.permutation(len(new)).tolist()]
        fresh = dict(zip(new, zip(codes, bags, strict=True), strict=True))
        pairs = [old[i] if i in old else fresh[i] for i in range(len(items.wine))]
        return _Names(tuple(code for code, _ in pairs), tuple(bag for _, bag in pairs))

    def _pours(
        self,
        room: Room,
        seat: int,
        items: Items,
        order: Orders,
        names: _Names,
        flights: tuple[int, ...],
    ) -> list[Pour]:
        return [
            Pour(
                site=room.key,
                table=(seat - 1) // self.tasting.plan.table_seats + 1,
                seat=seat,
                flight=flights[place],
                position=place + 1,
                code=names.codes[item],
                wine=self.tasting.wines[items.wine[item]].key,
                second_pour=items.second[item],
                bag=names.bags[item],
                taster=room.taster_at(seat),
            )
            for place, item in enumerate(order.tolist())
        ]

    def losses(self) -> tuple[str, ...]:
        """What the orders could not give."""
        said = []
        if self.stuck:
            said.append(
                f"In {self.stuck} orders a wine and its second pour stand side by side, because "
                "their style block holds no other wine."
            )
        if self.late:
            names = ", ".join(self.tasting.wines[wine].name for wine in sorted(self.late))
            said.append(
                f"New where orders are printed, so always last of its style block there: {names}."
            )
        return tuple(said)

    def notes(self) -> tuple[str, ...]:
        """What the tasting file asks for and printed papers do not allow."""
        if not self.unlike:
            return ()
        return (
            (
                "Hidden second pours stay as they were planned, which is not what the file asks "
                "now; only a plan afresh would change them."
            ),
        )


def _bag_letters(count: int) -> list[str]:
    """A to Z, then AA to AZ and on."""
    letters = list(ascii_uppercase)
    more = [first + second for first in ascii_uppercase for second in ascii_uppercase]
    return (letters + more)[:count]


def _style_losses(tasting: Tasting) -> tuple[str, ...]:
    """Style blocks keep wines from each other's positions; say so where it matters."""
    ranks = style_ranks(tasting)
    kinds = sorted(set(ranks))
    if len(kinds) < 2:
        return ()
    alone = [
        wine.name for wine, rank in zip(tasting.wines, ranks, strict=True) if ranks.count(rank) == 1
    ]
    said = [
        (
            f"Wines are served in {len(kinds)} style blocks; a wine only changes places within its "
            "own block, so place and style cannot be told apart between blocks."
        )
    ]
    if alone:
        said.append(f"Alone in its block, always at the same place: {', '.join(alone)}.")
    return tuple(said)


def _notes(tasting: Tasting) -> tuple[str, ...]:
    said = []
    unknown = [wine.name for wine in tasting.wines if wine.alcohol is None]
    if unknown:
        wines = "1 wine" if len(unknown) == 1 else f"{len(unknown)} wines"
        said.append(f"Alcohol is not told for {wines}; {USUAL_ALCOHOL:g} % was taken.")
    order = tasting.plan.style_order
    last = sorted({wine.style for wine in tasting.wines if wine.style} - set(order))
    if last and tasting.plan.style_blocks:
        said.append(f"Styles that style_order does not name come last: {', '.join(last)}.")
    return tuple(said)
