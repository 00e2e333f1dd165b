"""What runs for the desk as long as the server does."""

from __future__ import annotations

from halfpoint.serve.desk.aside import Aside
from halfpoint.serve.desk.decided_looks import DecidedIndex
from halfpoint.serve.desk.events import Events
from halfpoint.serve.desk.looks_index import LooksIndex
from halfpoint.serve.desk.results import Results
from halfpoint.serve.guard.roles import Here


class Desk:
    """Results, previews, what needs a look and what was decided, and the stream of events."""

    def __init__(self) -> None:
        # For what somebody waits for; and for whole results and files, which take long.
        self.quick, self.slow = Aside(), Aside(patient=True)
        self.results = Results(self.quick, self.slow)
        self.looks = LooksIndex()
        self.decided = DecidedIndex()
        self.events = Events(self.looks)
        self.results.listener = self.events.results

    async def stop(self) -> None:
        """Leave off, and let go of everything."""
        await self.events.stop()
        await self.results.stop()


async def desk(here: Here) -> Desk:
    """The desk of this server."""
    return here.part(Desk, Desk)
