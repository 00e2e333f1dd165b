"""The one pen: a thread that owns the record, and answers only what is on the disk."""

from __future__ import annotations

import asyncio
import queue
import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from halfpoint.errors import HalfpointError, LedgerAltered, LedgerBusy, LedgerError, OutputError
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.replay import State, replay

Result = TypeVar('Result')
Job = Callable[[Ledger, State], Result]
Look = Callable[[State], Result]

# Jobs that share a commit: enough for a full house, few enough to be answered in a moment.
MOST_AT_ONCE = 256
# Seconds after which what another process has added is noticed, when nobody asks before.
LOOK_AFTER = 1.0


@dataclass(slots=True)
class _Asked(Generic[Result]):
    """Something asked of the pen. `writes` is False for what only looks."""

    run: Callable[[Ledger, State], Result]
    writes: bool
    answer: asyncio.Future[Result]
    result: Any = None
    refusal: BaseException | None = None


class Writer:
    """Writes what it is given in the order it comes, many jobs to one commit.

    A job gets the ledger and how things stand, and adds what it has to add. It is answered when
    the commit that holds it is on the disk. What one job raises undoes that job alone; for that
    the jobs beside it may be run a second time. What another process has added is taken into
    account before any job.

    To be started and asked within one event loop.
    """

    def __init__(self, open_ledger: Callable[[], Ledger]) -> None:
        self._open_ledger = open_ledger
        self._asked: queue.SimpleQueue[_Asked[Any] | None] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._work, name='the pen', daemon=True)
        self._ready: asyncio.Future[None] | None = None
        self._turn: asyncio.Future[int] | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self._stopped = False
        self.version = 0
        """The last record that is taken into account; grows with each change."""
        self.planned: int | None = None
        """The record of the plan in force."""

    async def start(self) -> None:
        """Open the record and read it.

        Raises:
            LedgerError, OutputError: it cannot be opened.
        """
        self._loop = asyncio.get_running_loop()
        self._ready = self._loop.create_future()
        self._turn = self._loop.create_future()
        self._thread.start()
        await self._ready

    async def stop(self) -> None:
        """Write what was asked so far, and let go of the record."""
        if not self._stopped:
            self._stopped = True
            self._asked.put(None)
            await asyncio.to_thread(self._thread.join)

    async def do(self, job: Job[Result]) -> Result:
        """Run a job within a commit, and give its result once it is on the disk.

        Raises:
            DiskFull, LedgerBusy: nothing of it was recorded.
            LedgerError: the record is closed.
            HalfpointError: what the job itself raised; nothing of it was recorded.
        """
        return await self._ask(job, writes=True)

    async def read(self, look: Look[Result]) -> Result:
        """Look at how things stand; only what is on the disk is seen.

        The look must be short, as nothing is written meanwhile: take out what is needed, and
        work on that elsewhere.
        """
        return await self._ask(lambda _, state: look(state), writes=False)

    async def changed_after(self, version: int) -> int:
        """Wait until there is something newer than this version, and give the newest."""
        while self.version <= version and self._turn is not None:
            await asyncio.shield(self._turn)
        return self.version

    async def _ask(self, run: Callable[[Ledger, State], Result], *, writes: bool) -> Result:
        if self._loop is None or self._stopped:
            raise _closed()
        answer: asyncio.Future[Result] = self._loop.create_future()
        self._asked.put(_Asked(run, writes, answer))
        return await answer

    # --- in the thread ------------------------------------------------------------------

    def _work(self) -> None:
        try:
            ledger = self._open_ledger()
        except BaseException as refusal:
            self._call(self._set_ready, refusal)
            return
        with ledger:
            pen = _Pen(ledger)
            try:
                pen.catch_up()
            except HalfpointError as refusal:
                self._call(self._set_ready, refusal)
                return
            self._call(self._set_ready, None)
            self._call(self._tell, (), pen.state.last, pen.state.planned)
            while self._take(pen):
                pass

    def _take(self, pen: _Pen) -> bool:
        """Take what was asked by now; False when it was the last."""
        asked, is_last = self._next()
        writing = [each for each in asked if each.writes]
        if writing:
            pen.write(writing)
        elif not asked:
            with suppress(HalfpointError):
                pen.catch_up()
        for each in asked:
            if not each.writes:
                pen.look(each)
        if asked or pen.state.last != self.version:
            self._call(self._tell, asked, pen.state.last, pen.state.planned)
        return not is_last

    def _next(self) -> tuple[list[_Asked[Any]], bool]:
        asked: list[_Asked[Any]] = []
        try:
            first = self._asked.get(timeout=LOOK_AFTER)
            while first is not None:
                asked.append(first)
                if len(asked) == MOST_AT_ONCE:
                    return asked, False
                first = self._asked.get_nowait()
        except queue.Empty:
            return asked, False
        return asked, True

    def _call(self, function: Callable[..., None], *arguments: Any) -> None:
        # When the loop is gone nobody waits for an answer any more.
        with suppress(RuntimeError):
            if self._loop is not None:
                self._loop.call_soon_threadsafe(function, *arguments)

    # --- back in the event loop ---------------------------------------------------------

    def _set_ready(self, refusal: BaseException | None) -> None:
        if self._ready is None or self._ready.done():
            return
        if refusal is None:
            self._ready.set_result(None)
        else:
            self._ready.set_exception(refusal)

    def _tell(self, asked: Sequence[_Asked[Any]], version: int, planned: int | None) -> None:
        self.planned = planned
        if version != self.version:
            self.version = version
            if self._turn is not None and self._loop is not None:
                turn, self._turn = self._turn, self._loop.create_future()
                turn.set_result(version)
        for each in asked:
            if each.answer.done():
                continue
            if each.refusal is None:
                each.answer.set_result(each.result)
            else:
                each.answer.set_exception(each.refusal)


@dataclass(slots=True)
class _Pen:
    """The record, and how things stand at its end."""

    ledger: Ledger
    state: State = field(default_factory=State)

    def catch_up(self) -> None:
        """Take into account what was added since, by whomever."""
        try:
            replay(self.ledger.records(after=self.state.last), self.state)
        except BaseException:
            self.state = State()
            raise

    def look(self, asked: _Asked[Any]) -> None:
        """Answer what only looks."""
        try:
            self.catch_up()
            asked.result = asked.run(self.ledger, self.state)
        except BaseException as refusal:
            asked.refusal = refusal

    def write(self, asked: Sequence[_Asked[Any]]) -> None:
        """Run these jobs within one commit; when that fails, all of them are refused."""
        left = list(asked)
        while left:
            failed = self._commit(left)
            if failed is None:
                return
            left = [each for each in left if each is not failed]

    def _commit(self, asked: Sequence[_Asked[Any]]) -> _Asked[Any] | None:
        """Run jobs within one commit.

        One that raises after it has added something is given back: nothing was committed, and
        the others are to be run again without it.
        """
        before = self.state.last
        try:
            with self.ledger.writing():
                self.catch_up()
                before = self.state.last
                for each in asked:
                    self._run(each)
        except _Undo as undo:
            self._begin_anew(before)
            return undo.asked
        except BaseException as refusal:
            for each in asked:
                each.refusal = refusal
            self._begin_anew(before)
        return None

    def _run(self, asked: _Asked[Any]) -> None:
        asked.refusal = None
        before = self.state.last
        try:
            asked.result = asked.run(self.ledger, self.state)
        except _UNDOES_ALL:
            raise
        except BaseException as refusal:
            asked.refusal = refusal
            if before != self.ledger.head.count or before != self.state.last:
                raise _Undo(asked) from refusal
        if self.state.last != self.ledger.head.count:
            self.catch_up()

    def _begin_anew(self, before: int) -> None:
        """When more was taken into account than is recorded now, read from the beginning."""
        if self.state.last != before:
            self.state = State()
            with suppress(HalfpointError):
                self.catch_up()


class _Undo(Exception):
    """A job raised after it had added something, so that the commit is given up."""

    def __init__(self, asked: _Asked[Any]) -> None:
        super().__init__()
        self.asked = asked


# After these SQLite may have undone everything, so that nothing of the commit can be kept.
_UNDOES_ALL = (OutputError, LedgerBusy, LedgerAltered)


def _closed() -> LedgerError:
    return LedgerError(
        "the record is closed, as the server is stopping",
        remedy="send again in a moment; nothing is lost",
    )
