"""Which pages to print: every seat's own, and spares; what stands on each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from halfpoint.collect.paper.print.identity import (
    MOST_PAGES,
    MOST_SEATS,
    MOST_SITES,
    PERSONAL,
    SPARE,
    Identity,
)
from halfpoint.errors import InputError, UsageError
from halfpoint.plan.model import Plan, Pour
from halfpoint.plan.rooms import ONLY_ROOM
from halfpoint.tasting.model import Site, Tasting
from halfpoint.typeface.letters import one_line

LONGEST = 90


@dataclass(frozen=True, slots=True)
class Glass:
    """A glass on a page: its place in the serving order, and its blind code."""

    place: str
    code: str


@dataclass(frozen=True, slots=True)
class Page:
    """One page in words, and its identity. A spare has no codes."""

    identity: Identity
    site: str
    seat: str
    table: str
    taster: str
    page: str
    glasses: tuple[Glass, ...]

    @property
    def is_spare(self) -> bool:
        """Whether the taster writes on it who and what it is about."""
        return self.identity.kind == SPARE


def numbered_sites(tasting: Tasting, plan: Plan) -> dict[str, tuple[int, Site]]:
    """The sites of the plan by key, each with its place in the tasting file.

    Raises:
        InputError: the plan has a site that the tasting file has not, or there are too many.
    """
    sites = tasting.sites or (Site(key=ONLY_ROOM, name=tasting.title),)
    numbered = {site.key: (number, site) for number, site in enumerate(sites, start=1)}
    planned = dict.fromkeys(pour.site for pour in plan.pours)
    unknown = [key for key in planned if key not in numbered]
    if unknown or plan.tasting != tasting.key:
        raise InputError(
            f"the plan is one of '{plan.tasting}'" if not unknown else f"site '{unknown[0]}'",
            where="the plan",
            expected=f"sites of '{tasting.key}', as the tasting file has them",
            remedy="plan again with halfpoint plan, and print then",
        )
    if len(numbered) > MOST_SITES:
        raise InputError(f"{len(numbered):,} sites", expected=f"at most {MOST_SITES:,}")
    return {key: numbered[key] for key in planned}


def seat_pages(
    tasting: Tasting, plan: Plan, site: str, *, wines_a_page: int, form: str
) -> Iterator[Page]:
    """The pages of a site's seats, seat by seat, glasses in serving order."""
    number, where = numbered_sites(tasting, plan)[site]
    names = {taster.key: taster.name or taster.key for taster in tasting.tasters}
    for seat, pours in _by_seat(plan, site).items():
        shares = [pours[at : at + wines_a_page] for at in range(0, len(pours), wines_a_page)]
        _check_room(seat, len(shares))
        for page, share in enumerate(shares, start=1):
            first = share[0]
            codes = tuple(pour.code for pour in share)
            yield Page(
                identity=Identity(
                    PERSONAL, wines_a_page, tasting.key, site, number, seat, page, form, codes
                ),
                site=one_line(where.name, LONGEST),
                seat=f"Seat {seat}",
                table=f"Table {first.table}",
                taster=_name(names, first.taster),
                page=f"Sheet {page} of {len(shares)}",
                glasses=tuple(Glass(str(pour.position), pour.code) for pour in share),
            )


def spare_pages(
    tasting: Tasting, plan: Plan, site: str, count: int, *, wines_a_page: int, form: str
) -> Iterator[Page]:
    """A site's spare sheets, each with a number of its own.

    Raises:
        UsageError: more than can be numbered.
    """
    if not 0 <= count <= MOST_SEATS:
        raise UsageError(f'{count}', where='--blanks', expected=f"0 to {MOST_SEATS:,}")
    number, where = numbered_sites(tasting, plan)[site]
    for spare in range(1, count + 1):
        yield Page(
            identity=Identity(SPARE, wines_a_page, tasting.key, site, number, spare, 1, form),
            site=one_line(where.name, LONGEST),
            seat='',
            table='',
            taster='',
            page=f"Spare sheet {spare}",
            glasses=(Glass("code", ''),) * wines_a_page,
        )


def _name(names: dict[str, str], taster: str | None) -> str:
    return one_line(names.get(taster, taster), LONGEST) if taster else ''


def _by_seat(plan: Plan, site: str) -> dict[int, list[Pour]]:
    seats: dict[int, list[Pour]] = defaultdict(list)
    for pour in plan.pours:
        if pour.site == site:
            seats[pour.seat].append(pour)
    return {seat: sorted(seats[seat], key=lambda pour: pour.position) for seat in sorted(seats)}


def _check_room(seat: int, pages: int) -> None:
    if seat > MOST_SEATS or pages > MOST_PAGES:
        raise InputError(
            f"seat {seat} with {pages} sheets",
            where="the plan",
            expected=f"seats up to {MOST_SEATS:,}, with at most {MOST_PAGES} sheets each",
        )
