"""Planning at the desk: the plan made beside the pen, recorded by it; and what it says."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.planned import record_plan, recorded_plan, refuse_afresh
from halfpoint.ledger.replay import State
from halfpoint.plan.export import plan_data, same_plan
from halfpoint.plan.make import make_plan
from halfpoint.plan.model import Plan
from halfpoint.tasting.model import Tasting


@dataclass(frozen=True, slots=True)
class Basis:
    """What a new plan has to follow: the plan before it, and that one's record."""

    before: Plan | None
    number: int | None


def basis_of(state: State, *, afresh: bool) -> Basis:
    """What is to be followed.

    Raises:
        UsageError: a plan afresh, and sheets have come in by the old one.
        LedgerAltered: the plan in force cannot be understood.
    """
    if afresh:
        refuse_afresh(state)
    return Basis(recorded_plan(state), state.planned)


def planned(tasting: Tasting, basis: Basis, seed: int, *, afresh: bool) -> tuple[Plan, bool]:
    """The plan, and whether it says anything that the one before does not; takes its time."""
    plan = make_plan(tasting, seed=seed, previous=None if afresh else basis.before)
    if basis.before is not None and same_plan(plan, basis.before):
        return basis.before, False
    return plan, True


def record(ledger: Ledger, plan: Plan, basis: Basis, *, afresh: bool, who: str) -> None:
    """Record a new plan; to be run by the pen.

    Raises:
        LedgerBusy: somebody else has planned since.
        UsageError: a plan afresh, and sheets came in by the old one.
    """
    record_plan(ledger, plan_data(plan), after=basis.number, afresh=afresh, who=who)


def pours_by_site(plan: Plan) -> dict[str, tuple[int, int]]:
    """Seats and pours of each site."""
    seats: dict[str, set[int]] = defaultdict(set)
    pours: Counter[str] = Counter()
    for pour in plan.pours:
        seats[pour.site].add(pour.seat)
        pours[pour.site] += 1
    return {site: (len(seats[site]), pours[site]) for site in pours}


def behind_codes(plan: Plan) -> list[tuple[str, str, str, str, bool]]:
    """Site, bag, code, wine and whether it is a second pour, each once."""
    found = {(p.site, p.bag, p.code, p.wine, p.second_pour) for p in plan.pours}
    return sorted(found)
