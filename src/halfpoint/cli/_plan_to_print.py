"""Which plan goes on paper: the one in the record, or one from a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from halfpoint.plan.model import Plan
    from halfpoint.tasting.model import Tasting


def plan_to_print(tasting: Tasting, file: Path | None) -> Plan:
    """The plan in the record, or in its absence the one in the file.

    Raises:
        UsageError: neither is there, or they differ.
        FileNotReadable: the file is missing, is a folder, or may not be read.
        InputError: the file holds no plan.
    """
    from halfpoint.errors import UsageError
    from halfpoint.plan.export import same_plan

    recorded = _recorded(tasting)
    given = None if file is None else _read(file)
    if recorded and given and not same_plan(recorded, given):
        raise UsageError(
            f"{file} is not the plan in the record",
            where='--plan',
            expected="no --plan, or the plan in the record",
            remedy="leave --plan out, so that what is printed is what entries are checked against",
        )
    plan = recorded or given
    if plan is None:
        raise UsageError(
            "no plan is in the record yet",
            where=str(tasting.source),
            expected="a plan, in the record or by --plan FILE.json",
            remedy=f"make one with halfpoint plan {tasting.source} --into plan, then print",
        )
    return plan


def changes_since(tasting: Tasting, plan: Plan) -> tuple[str, ...]:
    """What the tasting file says now of sites and seats that the plan does not."""
    from halfpoint.plan.rooms import rooms_of

    planned: dict[str, int] = {}
    for pour in plan.pours:
        planned[pour.site] = max(planned.get(pour.site, 0), pour.seat)
    now = {room.key: room.seats for room in rooms_of(tasting)}
    if now == planned:
        return ()
    mend = f"halfpoint plan {tasting.source} brings the plan up to date"
    return (f"The tasting file has other sites or seats than the plan; {mend}.",)


def _recorded(tasting: Tasting) -> Plan | None:
    from halfpoint.cli._planned import recorded_plan
    from halfpoint.cli._record import open_record
    from halfpoint.ledger.replay import replay
    from halfpoint.ledger.stores import is_begun

    if not is_begun(tasting.ledger):
        return None
    with open_record(tasting) as ledger:
        return recorded_plan(replay(ledger.records()))


def _read(file: Path) -> Plan:
    from halfpoint.errors import FileNotReadable, InputError
    from halfpoint.plan.export import plan_from_json

    try:
        content = file.read_bytes()
    except OSError as reason:
        raise FileNotReadable(
            (reason.strerror or str(reason)).lower(),
            where=str(file),
            expected="a plan.json that halfpoint plan wrote",
            remedy="check the name and that the file may be read",
        ) from reason
    try:
        return plan_from_json(content)
    except InputError as reason:
        reason.where = str(file)
        raise
