"""Results as they come: the newest that is ready, and a newer one being worked out beside."""

from __future__ import annotations

import asyncio
import gzip
import json
import multiprocessing
from collections.abc import Awaitable, Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import ParamSpec, TypeVar

from halfpoint.errors import EstimateError, HalfpointError
from halfpoint.estimate.findings import Findings
from halfpoint.publish.export import to_json
from halfpoint.publish.words import finding
from halfpoint.serve.desk.weighing import Weighed, weigh_record
from halfpoint.serve.served import Served

Result = TypeVar('Result')
Given = ParamSpec('Given')
Listener = Callable[[int], None]
# What asks for more than the main estimate, and is kept from the result before until it is ready.
BESIDE = ('suspects', 'scale', 'panel', 'by_taster', 'aroma')
LONGEST_PAUSE = 20.0


class Aside:
    """A process of its own, begun with the first need of it; one piece of work at a time."""

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None

    async def run(
        self, work: Callable[Given, Result], *given: Given.args, **named: Given.kwargs
    ) -> Result:
        """Do this there, and give what it gives, or raise what it raises."""
        if self._pool is None:
            # Not forked: threads of the server may hold locks at that moment.
            context = multiprocessing.get_context('spawn')
            self._pool = ProcessPoolExecutor(1, context, initializer=_alone)
        try:
            return await asyncio.wrap_future(self._pool.submit(work, *given, **named))
        except BrokenProcessPool:
            self._pool = None
            raise

    async def stop(self) -> None:
        """End the process; what it was doing is left off."""
        pool, self._pool = self._pool, None
        if pool is not None:
            for process in list((pool._processes or {}).values()):  # noqa: SLF001
                process.terminate()
            await asyncio.to_thread(pool.shutdown, wait=True, cancel_futures=True)


@dataclass(frozen=True)
class Ready:
    """A result that is ready to be sent.

    `beside` is the last record taken into account by all but the main estimate; `json` is the
    findings, as `results --json` writes them.
    """

    version: int
    beside: int
    findings: Findings
    sentence: str
    json: str

    @classmethod
    def of(cls, main: Weighed | None, whole: Weighed | None) -> Ready:
        """The newest scores, with everything else as it was last worked out."""
        newest = whole if main is None or (whole and whole.version >= main.version) else main
        if newest is None:
            raise ValueError
        found = newest.findings
        if whole is not None and newest is not whole:
            found = replace(found, **{name: getattr(whole.findings, name) for name in BESIDE})
        beside = 0 if whole is None else whole.version
        return cls(newest.version, beside, found, finding(found), to_json(found))

    def body(self, newest: int) -> bytes:
        """The answer, as JSON."""
        head = json.dumps(
            {
                'version': self.version,
                'newest': newest,
                'stale': self.version < newest,
                'beside': self.beside,
                'sentence': self.sentence,
            },
            ensure_ascii=False,
        )
        return f'{head[:-1]}, "findings": {self.json.strip()}}}'.encode()


@dataclass
class _Worker:
    """Works one kind of result out, again and again while it is asked for."""

    aside: Aside
    whole: bool
    weighed: Weighed | None = None
    refused: tuple[int, HalfpointError] | None = None
    task: asyncio.Task[None] | None = None

    def is_done(self, newest: int) -> bool:
        """Whether there is nothing newer to be had."""
        known = self.weighed is not None and self.weighed.version >= newest
        return known or (self.refused is not None and self.refused[0] >= newest)

    def ask(self, served: Served, publish: Callable[[], Awaitable[None]]) -> None:
        """Begin, unless it is being done or just was."""
        if not self.is_done(served.writer.version) and (self.task is None or self.task.done()):
            self.task = asyncio.create_task(self._work(served, publish))

    async def _work(self, served: Served, publish: Callable[[], Awaitable[None]]) -> None:
        newest = served.writer.version
        try:
            weighed = await self.aside.run(weigh_record, served.tasting, whole=self.whole)
        except HalfpointError as refusal:
            self.refused = newest, refusal
            return
        self.weighed, self.refused = weighed, None
        await publish()
        # What is asked for meanwhile waits, so that half of the time is left to others.
        await asyncio.sleep(min(weighed.seconds, LONGEST_PAUSE))

    async def stop(self) -> None:
        """Leave off."""
        if self.task is not None:
            self.task.cancel()
            with suppress(asyncio.CancelledError):
                await self.task
        await self.aside.stop()


class Results:
    """The newest result of a served tasting.

    While somebody asks for it a newer one is worked out beside, in two processes: scores as soon
    as can be, and everything else, which takes longer.
    """

    def __init__(self, quick: Aside) -> None:
        self._main = _Worker(quick, whole=False)
        self._whole = _Worker(Aside(), whole=True)
        self._ready: Ready | None = None
        self._sent: tuple[Ready, int, bytes, bytes] | None = None
        self.listener: Listener = lambda version: None
        """Told the version of every new result."""

    async def ready(self, served: Served) -> Ready:
        """The newest result that is ready; waits for the first only.

        Raises:
            NotInLedger, EstimateError: the marks cannot be weighed yet.
        """
        self._main.ask(served, self._publish)
        while self._ready is None and self._main.task is not None:
            if self._main.task.done():
                await self._main.task
                raise _why(self._main)
            await asyncio.sleep(0.02)
        if self._ready is None:
            raise _why(self._main)
        # Not before the scores are there: they come first.
        self._whole.ask(served, self._publish)
        return self._ready

    async def newest(self, served: Served) -> Ready:
        """The result of all that is recorded now, everything worked out: for files.

        Raises:
            NotInLedger, EstimateError: the marks cannot be weighed yet.
        """
        wanted, known = served.writer.version, self._whole.weighed
        if known is None or known.version < wanted:
            known = await self._whole.aside.run(weigh_record, served.tasting, whole=True)
            self._whole.weighed = known
            await self._publish()
        return await asyncio.to_thread(Ready.of, None, known)

    def answer(self, ready: Ready, newest: int) -> tuple[bytes, bytes]:
        """The answer as it is, and compressed; made once for each result."""
        kept = self._sent
        if kept is None or kept[0] is not ready or kept[1] != newest:
            plain = ready.body(newest)
            kept = self._sent = ready, newest, plain, gzip.compress(plain, 5, mtime=0)
        return kept[2], kept[3]

    async def stop(self) -> None:
        """Leave off."""
        await self._main.stop()
        await self._whole.stop()

    async def _publish(self) -> None:
        self._ready = await asyncio.to_thread(Ready.of, self._main.weighed, self._whole.weighed)
        self.listener(self._ready.version)


def _why(worker: _Worker) -> HalfpointError:
    if worker.refused is not None:
        return worker.refused[1]
    return EstimateError("no result could be worked out", remedy="ask again in a moment")


def _alone() -> None:
    """A server that is interrupted ends its processes itself."""
    import signal  # noqa: PLC0415

    signal.signal(signal.SIGINT, signal.SIG_IGN)
