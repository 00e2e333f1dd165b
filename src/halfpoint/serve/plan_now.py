"""The plan in force, and what is looked up by it; made once for each plan."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from halfpoint.collect.paper.read.expected import unlisted_taster
from halfpoint.collect.table.poured import Poured
from halfpoint.errors import InputError, TastingFileError
from halfpoint.ledger.planned import poured_by, recorded_plan
from halfpoint.ledger.replay import State
from halfpoint.plan.model import Plan, Pour
from halfpoint.publish.handouts.evening import Evening, evenings_of
from halfpoint.tasting.model import Tasting


@dataclass(frozen=True)
class PlanNow:
    """A plan, with its sites and seats; `number` is its record."""

    tasting: Tasting
    number: int
    plan: Plan

    @cached_property
    def poured(self) -> Poured:
        """What was poured where."""
        return poured_by(self.plan, self.tasting)

    @cached_property
    def evenings(self) -> Mapping[str, Evening]:
        """The evening of each site, by its key.

        Raises:
            TastingFileError: the plan does not go with the tasting file; it may name wines.
        """
        try:
            evenings = evenings_of(self.tasting, self.plan)
        except InputError as reason:
            raise TastingFileError(
                reason.found, where=reason.where, expected=reason.expected, remedy=reason.remedy
            ) from reason
        return {evening.site.key: evening for evening in evenings}

    @cached_property
    def by_seat(self) -> Mapping[tuple[str, int], tuple[Pour, ...]]:
        """The pours of each seat of each site, in serving order."""
        seats: dict[tuple[str, int], list[Pour]] = defaultdict(list)
        for pour in sorted(self.plan.pours, key=lambda pour: pour.position):
            seats[pour.site, pour.seat].append(pour)
        return {seat: tuple(pours) for seat, pours in seats.items()}

    @cached_property
    def join_places(self) -> Mapping[str, tuple[str, int]]:
        """The site and table behind each join code."""
        return {
            join.code: (key, table)
            for key, evening in self.evenings.items()
            for table, join in evening.joins.items()
        }

    @cached_property
    def version(self) -> str:
        """What changes when the score sheet or the pours do."""
        pours = [(p.site, p.seat, p.position, p.code, p.flight) for p in self.plan.pours]
        text = f'{self.tasting.sheet.model_dump_json()}\n{pours}'
        return hashlib.sha256(text.encode('utf-8')).hexdigest()[:12]

    def taster(self, site: str, seat: int) -> str:
        """What the record calls whoever sits on a seat, also one that is not in the plan."""
        return self.poured.seats.get(site, {}).get(seat) or unlisted_taster(site, seat)


@dataclass(slots=True)
class Plans:
    """Keeps the plan in force, and makes it anew when another is recorded."""

    _kept: PlanNow | None = field(default=None)

    def now(self, tasting: Tasting, state: State) -> PlanNow | None:
        """The plan in force; None when nothing was planned.

        Raises:
            LedgerAltered: it cannot be understood.
        """
        kept = self._kept
        if kept is not None and kept.number == state.planned and kept.tasting is tasting:
            return kept
        plan = recorded_plan(state)
        self._kept = None if plan is None else PlanNow(tasting, state.planned or 0, plan)
        return self._kept
