"""Which pages that were printed have not been seen yet."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from halfpoint.plan.model import Plan


class Seen(NamedTuple):
    """A page that has come in: whose it is, and how many wines are on a page of that print."""

    site: str
    seat: int
    sheet: int
    wines_a_page: int


@dataclass(frozen=True, slots=True)
class Missing:
    """What has not come from a site.

    `seats` are those without any page, `sheets` the pages still to come of other seats.
    """

    site: str
    pages: int
    seats: tuple[int, ...]
    sheets: tuple[tuple[int, int], ...]
    is_silent: bool


def missing_pages(plan: Plan, seen: Iterable[Seen], *, usual: int) -> tuple[Missing, ...]:
    """What has not come yet, by site in the order of the plan; complete sites are left out.

    How many pages a seat has follows from the wines on a page of those that came from it, else
    of most that came from its site, and else is `usual`.
    """
    pours = Counter((pour.site, pour.seat) for pour in plan.pours)
    came: dict[tuple[str, int], dict[int, int]] = defaultdict(dict)
    prints: dict[str, Counter[int]] = defaultdict(Counter)
    for page in seen:
        came[page.site, page.seat][page.sheet] = page.wines_a_page
        prints[page.site][page.wines_a_page] += 1
    lines: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for (site, seat), count in sorted(pours.items(), key=lambda item: item[0][1]):
        of_seat = Counter(came[site, seat].values()) or prints[site] or Counter([usual])
        wines = of_seat.most_common(1)[0][0]
        for sheet in range(1, -(-count // wines) + 1):
            if sheet not in came[site, seat]:
                lines[site].append((seat, sheet))
    order = dict.fromkeys(pour.site for pour in plan.pours)
    return tuple(
        _missing(site, lines[site], came, bool(prints[site])) for site in order if lines[site]
    )


def _missing(
    site: str,
    pages: list[tuple[int, int]],
    came: Mapping[tuple[str, int], Mapping[int, int]],
    heard: bool,
) -> Missing:
    none = dict.fromkeys(seat for seat, _ in pages if not came.get((site, seat)))
    some = tuple((seat, sheet) for seat, sheet in pages if seat not in none)
    return Missing(site, len(pages), tuple(none), some, not heard)
