"""The one tasting that is served: its file, its record, its desk, and who sits where."""

from __future__ import annotations

import asyncio
import secrets
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from halfpoint.collect.phone.when import Phase, phase_of
from halfpoint.errors import FileNotReadable, UsageError
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.planned import recorded_plan
from halfpoint.ledger.replay import State
from halfpoint.plan.model import Plan
from halfpoint.serve.desk_store import DeskStore
from halfpoint.serve.guard.limits import Counters
from halfpoint.serve.seating import Seating
from halfpoint.serve.settings import Settings
from halfpoint.serve.writer import Writer
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting

Stamp = tuple[int, int]


class Served:
    """What every route works on. To be used within one event loop.

    The tasting file may change, or come to be, while it is served; it is read again then.
    """

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.desk = DeskStore(settings.desk)
        self.counters = Counters(settings.limits)
        self._secret = _secret(self.desk)
        self._read: tuple[Stamp, Tasting] | None = None
        self._writer: Writer | None = None
        self._starting = asyncio.Lock()
        self._plan: tuple[int, Plan] | None = None
        self._seating: Seating | None = None

    # --- the tasting file ---------------------------------------------------------------

    def find_tasting(self) -> Tasting | None:
        """The tasting as its file says now; None when there is no file yet.

        Raises:
            TastingFileError, FileNotReadable: it cannot be read.
        """
        stamp = _stamp(self.settings.tasting)
        if stamp is None:
            return None
        if self._read is None or self._read[0] != stamp:
            tasting = load_tasting(self.settings.tasting)
            if self.settings.ledger is not None:
                tasting = tasting.model_copy(update={'ledger': self.settings.ledger})
            self._read = stamp, tasting
        return self._read[1]

    def tasting(self) -> Tasting:
        """The tasting as its file says now.

        Raises:
            FileNotReadable: there is no file yet.
            TastingFileError: it says something impossible.
        """
        tasting = self.find_tasting()
        if tasting is None:
            raise FileNotReadable(
                "no tasting is here yet",
                expected="a tasting that the organiser has begun",
                remedy="begin one at the desk",
            )
        return tasting

    # --- the record ---------------------------------------------------------------------

    async def writer(self) -> Writer:
        """The one pen, begun with the first need of it.

        Raises:
            FileNotReadable: there is no tasting yet.
            LedgerError, OutputError: the record cannot be opened.
        """
        async with self._starting:
            if self._writer is None:
                tasting = self.tasting()
                writer = Writer(lambda: _open(tasting))
                await writer.start()
                self._writer = writer
        return self._writer

    async def revealed(self) -> bool:
        """Whether the wines were revealed."""
        if self.find_tasting() is None:
            return False
        return await (await self.writer()).read(lambda state: state.revealed is not None)

    async def phase(self) -> Phase:
        """Where the tasting stands, by the server's clock and days."""
        now = datetime.now().astimezone()
        return phase_of(self.tasting(), now, revealed=await self.revealed())

    # --- the plan, and who sits where ---------------------------------------------------

    async def find_plan(self) -> Plan | None:
        """The plan in force; None when nothing was planned."""
        number, data = await (await self.writer()).read(_planned)
        if number is None:
            return None
        if self._plan is None or self._plan[0] != number:
            plan = await asyncio.to_thread(recorded_plan, State(plan=data, planned=number))
            if plan is None:
                return None
            self._plan = number, plan
        return self._plan[1]

    async def seating(self) -> Seating:
        """Who sits where by the plan in force, with the seats that hosts have added.

        Raises:
            UsageError: nothing was planned.
        """
        plan, tasting = await self.find_plan(), self.tasting()
        if plan is None:
            raise UsageError(
                "no pours are planned yet, so that nobody has a seat",
                expected="a plan made by the organiser",
                remedy="wait for the organiser to plan the pours, then try again",
            )
        known, added = self._seating, tuple(self.desk.added_seats())
        if known is None or known.plan is not plan or known.tasting is not tasting:
            self._seating = Seating(tasting, plan, added, self._secret)
        elif known.added != added:
            self._seating = replace(known, added=added)
        return self._seating or Seating(tasting, plan, added, self._secret)

    # --- beginning and end --------------------------------------------------------------

    async def start(self) -> None:
        """Open the record, where there is a tasting."""
        if self.find_tasting() is not None:
            await self.writer()

    async def stop(self) -> None:
        """Write what is to be written, and let go of everything."""
        if self._writer is not None:
            await self._writer.stop()
        self.desk.close()


def _planned(state: State) -> tuple[int | None, object]:
    return state.planned, state.plan


def _open(tasting: Tasting) -> Ledger:
    return Ledger.open(
        tasting.ledger, tasting_key=tasting.key, title=tasting.title, sheet=tasting.sheet.key
    )


def _stamp(path: Path) -> Stamp | None:
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    except OSError as reason:
        raise FileNotReadable(
            (reason.strerror or str(reason)).lower(),
            where=str(path),
            expected="a tasting file",
            remedy="allow reading it",
        ) from reason
    return found.st_mtime_ns, found.st_size


def _secret(desk: DeskStore) -> bytes:
    kept = desk.kept('secret')
    if kept is None:
        kept = secrets.token_hex(32)
        desk.keep('secret', kept)
    return bytes.fromhex(kept)
