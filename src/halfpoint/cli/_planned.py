"""The plan in the record, for the commands that hold to it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from halfpoint.errors import UsageError

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
    from halfpoint.ledger.changes import entry_numbered

    poured = plan_for_tables(tasting, state)
    code = changes.get('code')
    if poured is None or not code:
        return False
    entry = entry_numbered(state, number).now
    site = poured.site_of(changes.get('site') or entry.site)
    taster = changes.get('taster', entry.taster)
    behind = poured.at(site or '', code)
    if site is None or behind is None:
        raise UsageError(
            f"'{code}'",
            where="--set code",
            expected=f"a code poured at {site or 'the site of the entry'}",
            remedy="look at the slip again; pours.csv of the plan has the codes of each site",
        )
    place = poured.places.get((site, taster), {}).get(code)
    follows = {'wine': behind.wine, 'pour': behind.pour or '', 'position': place}
    for name, value in follows.items():
        if value is not None:
            changes.setdefault(name, value)
    return True


def recorded_plan(state: State) -> Plan | None:
    """The plan in force, None when nothing was planned.

    Raises:
        LedgerAltered: it cannot be understood.
    """
    from halfpoint.ledger import planned

    return planned.recorded_plan(state)
