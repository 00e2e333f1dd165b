"""What most requests of the desk have in common: who decides, and why."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from halfpoint.serve.guard.roles import Organiser
from halfpoint.serve.wire.marks import Shape

Line = Annotated[str, Field(max_length=200)]
Reason = Annotated[str, Field(max_length=2_000)]


class Signed(Shape):
    """Who decides goes with everything that is recorded."""

    who: Line = ''
    """The name of who decides; the organiser when empty."""

    def name(self, organiser: Organiser) -> str:
        """The name as it is recorded."""
        return self.who.strip() or organiser.who


class SignedReason(Signed):
    """A decision that needs a reason."""

    why: Reason = ''
    """For what reason."""
