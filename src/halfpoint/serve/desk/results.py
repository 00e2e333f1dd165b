"""Results as they come: the newest that is ready, and a newer one being worked out beside."""

from __future__ import annotations

import asyncio
import gzip
import json
import multiprocessing
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import ParamSpec, TypeVar

from halfpoint.errors import HalfpointError
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
    def of(cls, weighed: Weighed, before: Ready | None, *, whole: bool) -> Ready:
        """A result; without the rest, that is taken from the result before."""
        found, beside = weighed.findings, weighed.version
        if not whole:
            beside = 0 if before is None else before.beside
            if before is not None:
                found = replace(found, **{name: getattr(before.findings, name) for name in BESIDE})
        return cls(weighed.version, beside, found, finding(found), to_json(found))

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


class Results:
    """The newest result of a served tasting.

    While somebody asks for it a newer one is worked out beside: first the main estimate, then
    everything else. Each pause is as long as the work before it took.
    """

    def __init__(self) -> None:
        self._aside = Aside()
        self._ready: Ready | None = None
        self._refused: tuple[int, HalfpointError] | None = None
        self._task: asyncio.Task[None] | None = None
        self._sent: tuple[Ready, int, bytes, bytes] | None = None
        self.listener: Listener = lambda version: None
        """Told the version of every new result."""

    async def ready(self, served: Served) -> Ready:
        """The newest result that is ready; waits for the first only.

        Raises:
            NotInLedger, EstimateError: the marks cannot be weighed yet.
        """
        self.ask(served)
        if self._ready is None:
            await self._first()
        if self._ready is None:
            raise self._refused[1] if self._refused else asyncio.CancelledError
        return self._ready

    async def newest(self, served: Served) -> Ready:
        """The result of all that is recorded now, everything worked out: for files.

        Raises:
            NotInLedger, EstimateError: the marks cannot be weighed yet.
        """
        wanted = served.writer.version
        if self._ready is None or self._ready.beside < wanted:
            weighed = await self._aside.run(weigh_record, served.tasting, whole=True)
            self._publish(Ready.of(weighed, None, whole=True))
        return self._known()

    def ask(self, served: Served) -> None:
        """See to it that a newer result is worked out, when there can be one."""
        newest = served.writer.version
        done = self._ready is not None and min(self._ready.version, self._ready.beside) >= newest
        hopeless = self._refused is not None and self._refused[0] >= newest
        if done or hopeless or (self._task is not None and not self._task.done()):
            return
        self._task = asyncio.create_task(self._work(served))

    def answer(self, ready: Ready, newest: int) -> tuple[bytes, bytes]:
        """The answer as it is, and compressed; made once for each result."""
        kept = self._sent
        if kept is None or kept[0] is not ready or kept[1] != newest:
            plain = ready.body(newest)
            kept = self._sent = ready, newest, plain, gzip.compress(plain, 5, mtime=0)
        return kept[2], kept[3]

    async def stop(self) -> None:
        """Leave off."""
        if self._task is not None:
            self._task.cancel()
            with suppress(asyncio.CancelledError):
                await self._task
        await self._aside.stop()

    async def _first(self) -> None:
        while self._ready is None and self._refused is None and self._task is not None:
            if self._task.done():
                await self._task
                return
            await asyncio.sleep(0.02)

    async def _work(self, served: Served) -> None:
        loop = asyncio.get_running_loop()
        began = loop.time()
        for whole in (False, True):
            try:
                weighed = await self._aside.run(weigh_record, served.tasting, whole=whole)
            except HalfpointError as refusal:
                self._refused = served.writer.version, refusal
                return
            ready = await asyncio.to_thread(Ready.of, weighed, self._ready, whole=whole)
            self._refused = None
            self._publish(ready)
        await asyncio.sleep(min(loop.time() - began, LONGEST_PAUSE))

    def _publish(self, ready: Ready) -> None:
        if self._ready is None or (ready.version, ready.beside) >= (
            self._ready.version,
            self._ready.beside,
        ):
            self._ready = ready
        self.listener(ready.version)

    def _known(self) -> Ready:
        if self._ready is None:
            raise RuntimeError
        return self._ready


def _alone() -> None:
    """A server that is interrupted ends its processes itself."""
    import signal  # noqa: PLC0415

    signal.signal(signal.SIGINT, signal.SIG_IGN)
