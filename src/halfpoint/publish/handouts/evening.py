"""One site's part of the plan: its tables, what is poured when, its bags and bottles."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from halfpoint.errors import InputError
from halfpoint.plan.glass import pours_per_bottle
from halfpoint.plan.model import Plan, Pour, SeatAlcohol, SiteBottles
from halfpoint.publish.handouts.join_code import JoinCode, join_codes
from halfpoint.tasting.model import Site, Tasting, Wine


@dataclass(frozen=True, slots=True)
class Round:
    """One position at a table: when it is poured, and from which bag to which seat."""

    flight: int
    position: int
    begins: int
    """Minutes after midnight."""
    bag_at: Mapping[int, str]

    @property
    def bag_for_all(self) -> str | None:
        """The bag, when every seat is poured the same."""
        bags = set(self.bag_at.values())
        return bags.pop() if len(bags) == 1 else None


@dataclass(frozen=True, slots=True)
class Table:
    """One table: its seats and its rounds in the order of pouring."""

    number: int
    seats: tuple[int, ...]
    rounds: tuple[Round, ...]

    @property
    def is_poured_alike(self) -> bool:
        """Whether in every round all seats get the same bag."""
        return all(
            len(round_.bag_at) == len(self.seats) and round_.bag_for_all for round_ in self.rounds
        )


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag letter at a site, the wine in it, and how many bottles carry the letter.

    `planned` is the bottles of the wine and its spares; two bags of one wine share them.
    """

    letter: str
    wine: Wine
    pours: int
    bottles: int
    planned: SiteBottles
    twin: str | None
    """The other bag that holds the same wine."""


@dataclass(frozen=True)
class Evening:
    """One site of a plan. `alcohol` has a line for each seat, `bottles` one for each wine.

    `joins` are the codes of the tables.
    """

    tasting: Tasting
    site: Site
    pours: tuple[Pour, ...]
    bottles: tuple[SiteBottles, ...]
    alcohol: tuple[SeatAlcohol, ...]
    joins: Mapping[int, JoinCode]

    @cached_property
    def seats(self) -> tuple[int, ...]:
        """Numbers of the seats."""
        return tuple(sorted({pour.seat for pour in self.pours}))

    @cached_property
    def by_seat(self) -> dict[int, tuple[Pour, ...]]:
        """The pours of each seat in serving order."""
        made: dict[int, list[Pour]] = defaultdict(list)
        for pour in sorted(self.pours, key=lambda pour: (pour.seat, pour.position)):
            made[pour.seat].append(pour)
        return {seat: tuple(pours) for seat, pours in made.items()}

    @cached_property
    def tables(self) -> tuple[Table, ...]:
        """The tables with what is poured there."""
        seats: dict[int, set[int]] = defaultdict(set)
        bags: dict[tuple[int, int, int], dict[int, str]] = defaultdict(dict)
        for pour in self.pours:
            seats[pour.table].add(pour.seat)
            bags[pour.table, pour.flight, pour.position][pour.seat] = pour.bag
        return tuple(
            Table(
                number,
                tuple(sorted(mine)),
                tuple(
                    Round(flight, position, self.begins(flight, position), bag_at)
                    for (table, flight, position), bag_at in sorted(bags.items())
                    if table == number
                ),
            )
            for number, mine in sorted(seats.items())
        )

    @cached_property
    def rounds(self) -> tuple[tuple[int, int], ...]:
        """Flight and position of every round of the evening, in order."""
        return tuple(sorted({(pour.flight, pour.position) for pour in self.pours}))

    @cached_property
    def bags(self) -> tuple[Bag, ...]:
        """The bags, by letter; a wine poured twice has two, which share its spare bottles."""
        settings = self.tasting.plan
        per_bottle = pours_per_bottle(settings.bottle_ml, settings.pour_ml, settings.loss_percent)
        counts: dict[tuple[str, str], int] = defaultdict(int)
        for pour in self.pours:
            counts[pour.wine, pour.bag] += 1
        planned = {line.wine: line for line in self.bottles}
        twins = {
            bag: other for wine, bag in counts for same, other in counts if same == wine
            and other != bag
        }  # fmt: skip
        return tuple(
            Bag(
                bag, self.wine(wine), number, -(-number // max(1, per_bottle)), planned[wine],
                twins.get(bag),
            )
            for (wine, bag), number in sorted(counts.items(), key=lambda item: _by_letter(item[0]))
        )  # fmt: skip

    @cached_property
    def _wines(self) -> dict[str, Wine]:
        return {wine.key: wine for wine in self.tasting.wines}

    def wine(self, key: str) -> Wine:
        """The wine with this key."""
        return self._wines[key]

    def begins(self, flight: int, position: int) -> int:
        """When a round begins, in minutes after midnight of the day it starts."""
        settings = self.tasting.plan
        hours, minutes = settings.starts.split(':')
        breaks = (flight - 1) * settings.break_minutes
        return int(hours) * 60 + int(minutes) + (position - 1) * settings.pour_minutes + breaks


def _by_letter(wine_and_bag: tuple[str, str]) -> tuple[int, str]:
    """Sorts A to Z before AA."""
    return len(wine_and_bag[1]), wine_and_bag[1]


def evenings_of(tasting: Tasting, plan: Plan) -> tuple[Evening, ...]:
    """Every site of the plan, in its order.

    Raises:
        InputError: the plan is of another tasting, or pours a wine that the file does not have.
    """
    _check(tasting, plan)
    sites = {site.key: site for site in tasting.sites}
    pours: dict[str, list[Pour]] = defaultdict(list)
    bottles: dict[str, list[SiteBottles]] = defaultdict(list)
    alcohol: dict[str, list[SeatAlcohol]] = defaultdict(list)
    tables: dict[tuple[str, int], None] = {}
    for pour in plan.pours:
        pours[pour.site].append(pour)
        tables.setdefault((pour.site, pour.table))
    for line in plan.bottles:
        bottles[line.site].append(line)
    for seat in plan.alcohol:
        alcohol[seat.site].append(seat)
    joins = join_codes(tasting.key, tables)
    return tuple(
        Evening(
            tasting,
            sites.get(key) or Site(key=key, name=key if tasting.sites else tasting.title),
            tuple(mine),
            tuple(bottles[key]),
            tuple(alcohol[key]),
            {table: join for (site, table), join in joins.items() if site == key},
        )
        for key, mine in pours.items()
    )


def _check(tasting: Tasting, plan: Plan) -> None:
    remedy = "plan again with halfpoint plan, and print from that plan"
    if plan.tasting != tasting.key:
        raise InputError(
            f"the plan is of the tasting '{plan.tasting}'",
            where=str(tasting.source),
            expected=f"a plan of '{tasting.key}'",
            remedy=remedy,
        )
    known = {wine.key for wine in tasting.wines}
    unknown = sorted({pour.wine for pour in plan.pours} - known)
    if unknown:
        named = ', '.join(f"'{wine}'" for wine in unknown[:5])
        raise InputError(
            f"the plan pours {named}, which the tasting file does not have",
            where=str(tasting.source),
            expected="a plan of the wines in the file",
            remedy=remedy,
        )
