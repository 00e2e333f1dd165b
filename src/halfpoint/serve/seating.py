"""Who sits where: sites, tables and seats of the plan, seats added since, and their codes."""

from __future__ import annotations

import hmac
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from halfpoint.publish.handouts.join_code import ALPHABET, LENGTH
from halfpoint.serve.desk_store import AddedSeat
from halfpoint.serve.plan_now import PlanNow
from halfpoint.sheet.words import fold


@dataclass(frozen=True, slots=True)
class Seat:
    """A place at a table. `like` is the planned seat whose order is poured here."""

    site: str
    table: int
    seat: int
    taster: str
    like: int
    added: bool = False


@dataclass(frozen=True, slots=True)
class Joining:
    """What a code opens: a table, or one seat of it when `seat` is not None."""

    code: str
    site: str
    table: int
    seat: int | None = None


@dataclass(frozen=True)
class Seating:
    """The seats of a tasting in the order of the plan; `secret` is what seats' codes hang on."""

    plan: PlanNow
    added: tuple[AddedSeat, ...]
    secret: bytes

    @cached_property
    def seats(self) -> Mapping[tuple[str, int], Seat]:
        """Site key and number → seat."""
        order = {site: number for number, site in enumerate(self.plan.evenings)}
        places = sorted(self.plan.by_seat, key=lambda place: (order[place[0]], place[1]))
        found = {
            place: Seat(
                place[0], self.plan.by_seat[place][0].table, place[1],
                self.plan.taster(*place), place[1],
            )
            for place in places
        }  # fmt: skip
        for more in self.added:
            if (more.site, more.like) in found:
                name = self.plan.taster(more.site, more.seat)
                seat = Seat(more.site, more.table, more.seat, name, more.like, added=True)
                found.setdefault((more.site, more.seat), seat)
        return found

    @cached_property
    def _by_taster(self) -> Mapping[str, Seat]:
        return {seat.taster: seat for seat in self.seats.values()}

    def of(self, taster: str) -> Seat | None:
        """The seat of a taster, as the record calls them."""
        return self._by_taster.get(taster)

    def at_table(self, site: str, table: int) -> Sequence[Seat]:
        """The seats of one table."""
        return [s for s in self.seats.values() if (s.site, s.table) == (site, table)]

    @cached_property
    def sites(self) -> tuple[str, ...]:
        """The keys of the sites, in the order of the plan."""
        return tuple(dict.fromkeys(site for site, _ in self.seats))

    def site_name(self, site: str) -> str:
        """What a site is called; the tasting's title when it has no sites of its own."""
        evening = self.plan.evenings.get(site)
        return evening.site.name if evening else site

    @cached_property
    def table_codes(self) -> Mapping[tuple[str, int], str]:
        """Site and table → the code on the table's card."""
        return {place: code for code, place in self.plan.join_places.items()}

    @cached_property
    def seat_codes(self) -> Mapping[tuple[str, int], str]:
        """Site and seat → a code for that seat alone, which only this desk can work out."""
        used, made = set(self.table_codes.values()), {}
        for site, seat in self.seats:
            words = '\n'.join((self.plan.tasting.key, site, str(seat)))
            code = next(code for code in _codes(self.secret, words) if code not in used)
            used.add(code)
            made[site, seat] = code
        return made

    @cached_property
    def _by_code(self) -> Mapping[str, Joining]:
        tables = {
            code: Joining(code, site, table) for (site, table), code in self.table_codes.items()
        }
        seats = {
            code: Joining(code, site, self.seats[site, seat].table, seat)
            for (site, seat), code in self.seat_codes.items()
        }
        return tables | seats

    def find(self, code: str) -> Joining | None:
        """What a code opens, in whatever case and with whatever spaces it was typed."""
        return self._by_code.get(''.join(fold(code).upper().replace('-', ' ').split()))


def _codes(secret: bytes, words: str) -> Iterable[str]:
    turn = 0
    while True:
        digest = hmac.digest(secret, f'{words}\n{turn}'.encode(), 'sha256')
        number, letters = int.from_bytes(digest, 'big'), []
        for _ in range(LENGTH):
            number, digit = divmod(number, len(ALPHABET))
            letters.append(ALPHABET[digit])
        yield ''.join(letters)
        turn += 1
