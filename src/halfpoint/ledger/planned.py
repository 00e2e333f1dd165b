"""Taking a plan into the record, so that what was printed is known; and reading it back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from halfpoint.collect.table.poured import PlannedPour, Poured
from halfpoint.errors import InputError, LedgerAltered, LedgerBusy, UsageError
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import Planned
from halfpoint.ledger.replay import State, replay
from halfpoint.plan.export import plan_from_data
from halfpoint.plan.model import Plan
from halfpoint.sheet.entry import Entry
from halfpoint.tasting.model import Tasting


def record_plan(
    ledger: Ledger, plan: Mapping[str, Any], *, after: int | None, afresh: bool = False, who: str
) -> None:
    """Add a plan; it is the plan in force from here on.

    Args:
        ledger: the record.
        plan: the plan as plain data.
        after: sequence number of the plan it was made to follow, None for none.
        afresh: whether it keeps nothing of that one.
        who: who planned.

    Raises:
        LedgerBusy: somebody else has planned since.
        UsageError: a plan afresh, and entries were gathered by the old one.
    """
    with ledger.writing():
        state = replay(ledger.records())
        if state.planned != after:
            raise LedgerBusy(
                "somebody else recorded a plan in the meantime",
                where=f"record {state.planned}",
                remedy="run halfpoint plan again; it keeps what that plan has printed",
            )
        if afresh:
            refuse_afresh(state)
        ledger.append([Planned(plan)], who=who)


def refuse_afresh(state: State) -> None:
    """Refuse to throw away codes by which entries have come in.

    Raises:
        UsageError: entries were gathered, or rows held, since there is a plan.
    """
    if state.plan is not None and (state.entries or state.held):
        raise UsageError(
            f"sheets are in already ({len(state.entries):,} taken, {len(state.held):,} held)",
            where="--afresh",
            expected="a record without sheets, as new codes would not fit theirs",
            remedy="plan without --afresh: codes already printed then stay",
        )


def recorded_plan(state: State) -> Plan | None:
    """The plan in force, None when nothing was planned.

    Raises:
        LedgerAltered: it cannot be understood.
    """
    if state.plan is None:
        return None
    try:
        return plan_from_data(state.plan)
    except InputError as reason:
        raise LedgerAltered(
            f"the plan in record {state.planned} cannot be understood: {reason.found}",
            remedy="run halfpoint verify, and go back to the last copy that verifies",
        ) from reason


def poured_by(plan: Plan, tasting: Tasting) -> Poured:
    """A plan as what comes in is held against it."""
    pours = (
        PlannedPour(
            pour.site, pour.taster, pour.position, pour.code, pour.wine, pour.second_pour, pour.seat
        )
        for pour in plan.pours
    )
    return Poured.by_plan(pours, one_room=not tasting.sites)


def follow_code(poured: Poured, entry: Entry, changes: dict[str, Any]) -> None:
    """Add what the plan has behind a corrected code to the changes of an entry.

    Raises:
        UsageError: the code was not poured at the entry's site.
    """
    code = changes['code']
    site = poured.site_of(changes.get('site') or entry.site)
    taster = changes.get('taster', entry.taster)
    behind = poured.at(site or '', code)
    if site is None or behind is None:
        raise UsageError(
            f"'{code}'",
            where="code",
            expected=f"a code poured at {site or 'the site of the entry'}",
            remedy="look at the slip again; pours.csv of the plan has the codes of each site",
        )
    place = poured.places.get((site, taster), {}).get(code)
    follows = {'wine': behind.wine, 'pour': behind.pour or '', 'position': place}
    for name, value in follows.items():
        if value is not None:
            changes.setdefault(name, value)
