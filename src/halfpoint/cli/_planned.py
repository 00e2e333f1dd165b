"""The plan in the record, for the commands that hold to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from halfpoint.errors import InputError, LedgerAltered

if TYPE_CHECKING:
    from halfpoint.collect.table.poured import Poured
    from halfpoint.ledger.replay import State
    from halfpoint.plan.model import Plan
    from halfpoint.tasting.model import Tasting


def plan_for_tables(tasting: Tasting, state: State) -> Poured | None:
    """The plan in force as tables of marks are held against it.

    Raises:
        LedgerAltered: it cannot be understood.
    """
    from halfpoint.collect.table.poured import PlannedPour, Poured

    plan = recorded_plan(state)
    if plan is None:
        return None
    pours = (
        PlannedPour(pour.site, pour.taster, pour.position, pour.code, pour.wine, pour.second_pour)
        for pour in plan.pours
    )
    return Poured.by_plan(pours, one_room=not tasting.sites)


def recorded_plan(state: State) -> Plan | None:
    """The plan in force, None when nothing was planned.

    Raises:
        LedgerAltered: it cannot be understood.
    """
    from halfpoint.plan.export import plan_from_data

    if state.plan is None:
        return None
    try:
        return plan_from_data(state.plan)
    except InputError as reason:
        raise LedgerAltered(
            f"the plan in record {state.planned} cannot be understood: {reason.found}",
            remedy="run halfpoint verify, and go back to the last copy that verifies",
        ) from reason
