"""What was poured where, by the plan: from a blind code to its wine, and what is held against it.

No message here names the wine behind a code, or the code of a wine.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from rapidfuzz.distance import OSA

from halfpoint.collect.paper.read.expected import unlisted_taster
from halfpoint.plan.rooms import ONLY_ROOM
from halfpoint.tasting.model import Tasting

MOST_WRONG_DIGITS = 2


@dataclass(frozen=True, slots=True)
class PlannedPour:
    """One pour of the plan; `taster` is who sits on the seat, if anybody is listed."""

    site: str
    taster: str | None
    position: int
    code: str
    wine: str
    second_pour: bool
    seat: int | None = None


def unlisted_seat(tasting: Tasting, text: str) -> str:
    """The name of a seat for which nobody is listed; '' when the text is no such name."""
    name = text.strip()
    sites = [site.key for site in tasting.sites] or [ONLY_ROOM]
    seat = name.rpartition('-')[2]
    number = int(seat) if seat.isascii() and seat.isdecimal() and len(seat) < 5 else 0
    return name if any(name == unlisted_taster(site, number) for site in sites) else ''


@dataclass(frozen=True, slots=True)
class Behind:
    """What stands behind a code at a site; `pour` is '1' or '2' where a wine is poured twice."""

    wine: str
    pour: str | None


@dataclass(frozen=True, slots=True)
class Poured:
    """The plan as a table of marks is held against it.

    `behind[site][code]`, and `places[site, taster][code]`, the position on that taster's seat.
    `only_site` when the plan has one; with `one_room` it is meant whatever a row says.
    `seats[site][seat]` is who sits there, by the name of the seat where nobody is listed.
    """

    behind: Mapping[str, Mapping[str, Behind]]
    places: Mapping[tuple[str, str], Mapping[str, int]]
    codes: frozenset[str]
    only_site: str | None
    one_room: bool
    seats: Mapping[str, Mapping[int, str]] = field(default_factory=dict)

    @classmethod
    def by_plan(cls, pours: Iterable[PlannedPour], *, one_room: bool = False) -> Poured:
        """The lookup for these pours; `one_room` when the tasting file lists no sites."""
        pours = tuple(pours)
        again = {(pour.site, pour.wine) for pour in pours if pour.second_pour}
        behind: dict[str, dict[str, Behind]] = defaultdict(dict)
        places: dict[tuple[str, str], dict[str, int]] = defaultdict(dict)
        seats: dict[str, dict[int, str]] = defaultdict(dict)
        for pour in pours:
            number, taster = None, pour.taster
            if pour.seat is not None:
                taster = taster or unlisted_taster(pour.site, pour.seat)
                seats[pour.site][pour.seat] = taster
            if (pour.site, pour.wine) in again:
                number = '2' if pour.second_pour else '1'
            behind[pour.site][pour.code] = Behind(pour.wine, number)
            if taster is not None:
                places[pour.site, taster][pour.code] = pour.position
        only = next(iter(behind)) if len(behind) == 1 else None
        codes = frozenset(pour.code for pour in pours)
        return cls(behind, places, codes, only, one_room, seats)

    @property
    def seated(self) -> frozenset[str]:
        """Everybody who has a seat in the plan, by name of the seat where nobody is listed."""
        return frozenset(name for seats in self.seats.values() for name in seats.values())

    def site_of(self, told: str | None) -> str | None:
        """The site of the plan that a row is about; None when that cannot be known."""
        return self.only_site if self.one_room or told is None else told

    def at(self, site: str, code: str) -> Behind | None:
        """What stands behind the code at the site."""
        return self.behind.get(site, {}).get(code)

    def wines_at(self, site: str) -> frozenset[str]:
        """The wines poured at the site."""
        return frozenset(behind.wine for behind in self.behind.get(site, {}).values())

    def code_of(self, site: str, wine: str, pour: str | None) -> str | None:
        """The code of a wine at the site; None when it has two and which is not told."""
        codes = [
            code
            for code, behind in self.behind.get(site, {}).items()
            if behind.wine == wine and (behind.pour is None or behind.pour == pour)
        ]
        return codes[0] if len(codes) == 1 else None

    def likely(
        self,
        site: str,
        code: str,
        *,
        taster: str | None = None,
        position: int | None = None,
        told: frozenset[str] = frozenset(),
    ) -> tuple[str, int | None] | None:
        """The code that was probably meant, and its position on the taster's seat.

        Nearest by optimal string alignment (a wrong digit and two digits swapped both count
        one); then one the taster has not `told` in another row; then by position.
        """
        places = self.places.get((site, taster or ''), {})

        def farness(candidate: str) -> tuple[int, bool, int, str]:
            place = places.get(candidate)
            gap = 0 if place is None or position is None else abs(place - position)
            return OSA.distance(code, candidate), candidate in told, gap, candidate

        found = min(self.behind.get(site, {}), key=farness, default=None)
        if found is None or farness(found)[0] > MOST_WRONG_DIGITS:
            return None
        return found, places.get(found)
