"""What every route works on: the desk's file, and the tasting as soon as there is one."""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import Protocol, TypeVar, cast

from halfpoint.errors import FileNotReadable, LedgerError
from halfpoint.serve.desk_store import DeskStore
from halfpoint.serve.guard.limits import Counters
from halfpoint.serve.seating import Seating
from halfpoint.serve.served import Served
from halfpoint.serve.settings import Settings
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting

Stamp = tuple[int, int]


class Stoppable(Protocol):
    """What has to be stopped before the server ends."""

    async def stop(self) -> None:
        """Leave off, and let go of everything."""


Part = TypeVar('Part', bound=Stoppable)


class House:
    """What every route works on. To be used within one event loop.

    The tasting file may change, or come to be, while it is served; it is read again then.
    """

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.desk = DeskStore(settings.desk)
        self.counters = Counters(settings.limits)
        self._secret = _secret(self.desk)
        self._read: tuple[Stamp, Tasting] | None = None
        self._served: Served | None = None
        self._starting = asyncio.Lock()
        self._seating: Seating | None = None
        self._parts: dict[type[Stoppable], Stoppable] = {}

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
            self._read = stamp, load_served(self.settings)
        return self._read[1]

    @property
    def last_read(self) -> Tasting | None:
        """The tasting as its file said when it could last be read."""
        return self._read[1] if self._read else None

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

    def read_again(self) -> None:
        """Read the tasting file anew with the next need of it, as after an edit of its sheet."""
        self._read = None

    # --- the record and the plan --------------------------------------------------------

    async def served(self) -> Served:
        """The tasting with its record, opened with the first need of it.

        Raises:
            FileNotReadable: there is no tasting yet.
            TastingFileError: its file says something impossible.
            LedgerError, OutputError: the record cannot be opened.
        """
        tasting = self.tasting()
        async with self._starting:
            if self._served is None:
                served = Served.of(tasting)
                await served.writer.start()
                self._served = served
        before = self._served.tasting
        if (before.key, before.ledger) != (tasting.key, tasting.ledger):
            raise LedgerError(
                "the tasting file names another record now than the one that is open",
                where=str(self.settings.tasting),
                expected=f"the tasting {before.key}, with the record {before.ledger.name}",
                remedy="put key and ledger back, or stop halfpoint serve and start it again",
            )
        self._served.tasting = tasting
        return self._served

    async def seating(self) -> Seating:
        """Who sits where by the plan in force, with the seats that hosts have added.

        Raises:
            UsageError: nothing was planned.
            TastingFileError: the plan pours what the file does not have.
        """
        served = await self.served()
        plan, added = await served.writer.read(served.plan), tuple(self.desk.added_seats())
        known = self._seating
        if known is None or known.plan is not plan or known.added != added:
            known = Seating(plan, added, self._secret)
            # Here, so that nothing goes on with a plan of other wines than the file has.
            known.seats  # noqa: B018
            self._seating = known
        return known

    async def find_seating(self) -> Seating | None:
        """The same; None while nothing is planned.

        Raises:
            TastingFileError: the plan pours what the file does not have.
        """
        served = await self.served()
        planned = await served.writer.read(lambda state: state.plan is not None)
        return await self.seating() if planned else None

    # --- what else runs as long as the server does --------------------------------------

    def part(self, kind: type[Part], make: Callable[[], Part]) -> Part:
        """The one part of this kind, made with the first need of it; stopped before the record.

        For what reads photographs, or works out results, beside the requests.
        """
        if kind not in self._parts:
            self._parts[kind] = make()
        return cast('Part', self._parts[kind])

    # --- beginning and end --------------------------------------------------------------

    async def start(self) -> None:
        """Open the record, where there is a tasting."""
        if self.find_tasting() is not None:
            await self.served()

    async def stop(self) -> None:
        """Write what is to be written, and let go of everything."""
        for part in reversed(self._parts.values()):
            await part.stop()
        if self._served is not None:
            await self._served.writer.stop()
        self.desk.close()


def find_tasting(settings: Settings) -> Tasting | None:
    """The tasting to be served; None when there is no file yet.

    Raises:
        TastingFileError, FileNotReadable: it cannot be read.
    """
    return None if _stamp(settings.tasting) is None else load_served(settings)


def load_served(settings: Settings) -> Tasting:
    """The tasting as its file says, with the record that the server was told to use."""
    tasting = load_tasting(settings.tasting)
    if settings.ledger is None:
        return tasting
    return tasting.model_copy(update={'ledger': settings.ledger})


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
