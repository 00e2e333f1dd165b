"""Results as they come: scores of all that is recorded, and the rest as it was last weighed."""

from __future__ import annotations

import asyncio
import gzip
import json
from collections.abc import Awaitable, Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace

from halfpoint.errors import EstimateError, HalfpointError
from halfpoint.estimate.findings import Findings, MarkFindings
from halfpoint.publish.export import to_json
from halfpoint.publish.words import finding
from halfpoint.serve.desk.aside import Aside
from halfpoint.serve.desk.weighing import IN_DOCUMENT, Weighed, weigh_record
from halfpoint.serve.served import Served

Listener = Callable[[int], None]
# What asks for more than the scores, and is kept from the result before until it is ready: in the
# findings, and by kind of mark.
IN_FINDINGS = ('suspects', 'scale', 'panel', 'by_taster', 'aroma')
BY_MARK = ('components', 'ordinal')
PARTS = (*BY_MARK, *IN_DOCUMENT)
# Seconds that an answer waits for its scores; after them the last result is sent, and says so.
PATIENCE = 1.0
LONGEST_PAUSE = 20.0
# Seconds without a new record after which everything is worked out again, and the most to wait.
QUIET = 1.5
LONGEST_UNQUIET = 15.0
# Quick, as every answer is packed anew.
PACKED = 1


def beside(found: Findings, whole: Findings) -> Findings:
    """These scores with what is beside them in a whole result."""
    return replace(
        found,
        **{name: getattr(whole, name) for name in IN_FINDINGS},
        total=_beside(found.total, whole.total),
        categories={
            key: _beside(each, whole.categories.get(key)) for key, each in found.categories.items()
        },
    )


def _beside(found: MarkFindings, old: MarkFindings | None) -> MarkFindings:
    if old is None or found.criterion is None:
        return found
    return replace(found, **{name: getattr(old, name) for name in BY_MARK})


@dataclass(frozen=True, eq=False)
class Ready:
    """A result that is ready to be sent.

    `beside` is the last record taken into account by all but the scores, 0 for none; `written`
    has the parts of the document that were written when they were worked out.
    """

    version: int
    beside: int
    findings: Findings
    sentence: str
    written: Mapping[str, str]

    @classmethod
    def of(cls, fresh: Weighed | None, whole: Weighed | None) -> Ready:
        """The newest scores, with everything else as it was last worked out."""
        if whole is not None and (fresh is None or whole.version >= fresh.version):
            version, found = whole.version, whole.findings
        elif fresh is not None:
            version = fresh.version
            found = fresh.findings if whole is None else beside(fresh.findings, whole.findings)
        else:
            raise ValueError
        known, written = (whole.version, whole.written) if whole else (0, {})
        return cls(version, known, found, finding(found), written)

    def body(self, newest: int, *, tasters: bool) -> bytes:
        """The answer, as JSON, the findings as `results --json` writes them."""
        head = json.dumps(
            {
                'version': self.version,
                'newest': newest,
                'stale': self.version < newest,
                'beside': self.beside,
                'again': [] if self.beside == self.version else PARTS,
                'sentence': self.sentence,
            },
            ensure_ascii=False,
        )
        written = self.written if tasters else {**self.written, 'tasters': '[]'}
        findings = to_json(self.findings, written).strip()
        return f'{head[:-1]}, "findings": {findings}}}'.encode()


@dataclass
class _Worker:
    """Works one kind of result out, again and again while it is asked for."""

    aside: Aside
    whole: bool
    done: Callable[[Weighed], Awaitable[None]]
    weighed: Weighed | None = None
    refused: tuple[int, HalfpointError] | None = None
    asked: int = 0
    task: asyncio.Task[None] | None = None

    def is_done(self, newest: int) -> bool:
        """Whether there is nothing newer to be had."""
        known = self.weighed is not None and self.weighed.version >= newest
        return known or (self.refused is not None and self.refused[0] >= newest)

    def ask(self, served: Served) -> asyncio.Task[None]:
        """Begin, unless it is being done or just was; what is asked meanwhile is remembered."""
        self.asked = served.writer.version
        if self.task is None or (self.task.done() and not self.is_done(served.writer.version)):
            self.task = asyncio.create_task(self._work(served))
        return self.task

    async def reach(self, served: Served, wanted: int) -> None:
        """Wait until this record is taken into account, or weighing is refused."""
        while not self.is_done(wanted):
            await asyncio.shield(self.ask(served))

    async def _work(self, served: Served) -> None:
        # Nobody waits for a whole result, so that nobody would ask for it again.
        again = True
        while again:
            if self.whole and self.weighed is not None:
                await _quiet(served)
            await self._weigh(served)
            again = self.whole and not self.is_done(self.asked)

    async def _weigh(self, served: Served) -> None:
        newest = served.writer.version
        try:
            weighed = await self.aside.run(weigh_record, served.tasting, whole=self.whole)
        except HalfpointError as refusal:
            self.refused = newest, refusal
            return
        self.weighed, self.refused = weighed, None
        await self.done(weighed)
        if self.whole:
            # What is asked for meanwhile waits, so that half of the time is left to others.
            await asyncio.sleep(min(weighed.seconds, LONGEST_PAUSE))

    async def stop(self) -> None:
        """Leave off."""
        if self.task is not None:
            self.task.cancel()
            with suppress(asyncio.CancelledError):
                await self.task
        await self.aside.stop()


async def _quiet(served: Served) -> None:
    """Wait until nothing new was recorded for a moment, but not for ever."""
    loop = asyncio.get_running_loop()
    until = loop.time() + LONGEST_UNQUIET
    known = None
    while known != served.writer.version and loop.time() < until:
        known = served.writer.version
        await asyncio.sleep(QUIET)


class Results:
    """The newest result of a served tasting.

    Scores are worked out for each answer that asks for newer ones. Everything else, which takes
    longer, is worked out in another process while somebody asks, and is taken from the result
    before until it is there.
    """

    def __init__(self, quick: Aside, slow: Aside) -> None:
        self._fresh = _Worker(quick, whole=False, done=self._scored)
        self._all = _Worker(slow, whole=True, done=self._finished)
        self._whole: Weighed | None = None
        self._ready: Ready | None = None
        self._turn = asyncio.Lock()
        self._owed = False
        self._sent: dict[bool, tuple[tuple[Ready, int, bool], bytes, bytes]] = {}
        self.listener: Listener = lambda version: None
        """Told the version of every result that comes later than it was asked for."""

    async def ready(self, served: Served) -> Ready:
        """The result of all that is recorded now, its scores at least.

        Where scores take longer than `PATIENCE` it is the last result, and the listener is told
        of the newer one.

        Raises:
            NotInLedger, EstimateError: the marks cannot be weighed.
        """
        wanted = served.writer.version
        if self._ready is None or self._ready.version < wanted:
            self._all.aside.hush()
            try:
                async with asyncio.timeout(None if self._ready is None else PATIENCE):
                    await self._fresh.reach(served, wanted)
            except TimeoutError:
                self._owed = True
            if self._fresh.refused is not None:
                raise self._fresh.refused[1]
        if self._ready is None:
            raise EstimateError("no result could be worked out", remedy="ask again in a moment")
        # Not before the scores are there: they come first.
        self._all.ask(served)
        return self._ready

    async def newest(self, served: Served) -> Ready:
        """The result of all that is recorded now, everything worked out: for files.

        Raises:
            NotInLedger, EstimateError: the marks cannot be weighed yet.
        """
        known = self._all.weighed
        if known is None or known.version < served.writer.version:
            known = await self._all.aside.run(weigh_record, served.tasting, whole=True)
            self._all.weighed = known
            await self._finished(known)
        return await asyncio.to_thread(Ready.of, None, self._whole)

    def answer(self, ready: Ready, newest: int, *, tasters: bool) -> tuple[bytes, bytes]:
        """The answer as it is, and compressed; made once for each result."""
        what = ready, newest, tasters
        kept = self._sent.get(tasters)
        if kept is None or kept[0] != what:
            plain = ready.body(newest, tasters=tasters)
            kept = self._sent[tasters] = what, plain, gzip.compress(plain, PACKED, mtime=0)
        return kept[1:]

    async def stop(self) -> None:
        """Leave off."""
        await self._fresh.stop()
        await self._all.stop()

    async def _scored(self, _: Weighed) -> None:
        ready = await self._put_together()
        if self._owed:
            self._owed = False
            self.listener(ready.version)

    async def _finished(self, weighed: Weighed) -> None:
        self._whole = weighed
        self.listener((await self._put_together()).version)

    async def _put_together(self) -> Ready:
        # One after another, so that the last one has the newest of both.
        async with self._turn:
            ready = await asyncio.to_thread(Ready.of, self._fresh.weighed, self._whole)
            self._ready = ready
            return ready
