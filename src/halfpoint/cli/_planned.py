"""The plan in the record, for the commands that hold to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from halfpoint.errors import InputError, LedgerAltered

if TYPE_CHECKING:
    from halfpoint.ledger.replay import State
    from halfpoint.plan.model import Plan


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
