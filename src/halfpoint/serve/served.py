"""The tasting that is served: its file, its record, its plan, and the server's clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from halfpoint.collect.phone.when import Phase, phase_of
from halfpoint.errors import UsageError
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.replay import State
from halfpoint.serve.plan_now import PlanNow, Plans
from halfpoint.serve.writer import Writer
from halfpoint.tasting.model import Tasting


def local_now() -> datetime:
    """Now, in the time zone of the server, whose days are meant by `opens` and `closes`."""
    return datetime.now().astimezone()


@dataclass(slots=True)
class Served:
    """One tasting while it is served. `tasting` is exchanged when its file is edited."""

    tasting: Tasting
    writer: Writer
    plans: Plans = field(default_factory=Plans)
    clock: Callable[[], datetime] = local_now

    @classmethod
    def of(cls, tasting: Tasting) -> Served:
        """A tasting with the pen for its record, not yet started."""
        return cls(tasting, Writer(lambda: open_ledger(tasting)))

    def phase(self, state: State) -> Phase:
        """Where the tasting stands, by the server's clock."""
        return phase_of(self.tasting, self.clock(), revealed=state.revealed is not None)

    def plan(self, state: State) -> PlanNow:
        """The plan in force; to be asked within a job or a look.

        Raises:
            UsageError: nothing was planned yet.
        """
        plan = self.plans.now(self.tasting, state)
        if plan is None:
            raise UsageError(
                "nothing is planned yet",
                expected="the plan of who is poured what",
                remedy="the organiser makes it on the desk, under Plan",
            )
        return plan

    def utc(self) -> str:
        """Now, as ISO 8601 in UTC."""
        now = self.clock().astimezone(UTC)
        return now.isoformat(timespec='milliseconds').replace('+00:00', 'Z')


def open_ledger(tasting: Tasting) -> Ledger:
    """The record of this tasting, begun when it is not there."""
    return Ledger.open(
        tasting.ledger,
        tasting_key=tasting.key,
        title=tasting.title,
        sheet=tasting.sheet.key,
        create=True,
    )
