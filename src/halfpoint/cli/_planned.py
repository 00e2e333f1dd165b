"""The plan in the record, for the commands that hold to it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

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
    from halfpoint.ledger.planned import poured_by

    plan = recorded_plan(state)
    return None if plan is None else poured_by(plan, tasting)


def follow_code(tasting: Tasting, state: State, number: int, changes: dict[str, Any]) -> bool:
    """Add what the plan has behind a corrected code to the changes; whether there is a plan.

    Raises:
        UsageError: the code was not poured at the entry's site.
        NotInLedger: no entry has this number.
    """
    from halfpoint.ledger import planned
    from halfpoint.ledger.changes import entry_numbered

    poured = plan_for_tables(tasting, state)
    if poured is None or not changes.get('code'):
        return False
    planned.follow_code(poured, entry_numbered(state, number).now, changes)
    return True


def recorded_plan(state: State) -> Plan | None:
    """The plan in force, None when nothing was planned.

    Raises:
        LedgerAltered: it cannot be understood.
    """
    from halfpoint.ledger import planned

    return planned.recorded_plan(state)
