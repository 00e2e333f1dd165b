"""Taking a plan into the record, so that what was printed is known."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from halfpoint.errors import LedgerBusy, UsageError
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import Planned
from halfpoint.ledger.replay import State, replay


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
