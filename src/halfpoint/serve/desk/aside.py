"""A process beside the server for what takes long, so that no answer waits for it."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from typing import ParamSpec, TypeVar

Result = TypeVar('Result')
Given = ParamSpec('Given')
# How nice a patient process is, on the scale of nice(2) of POSIX.
PATIENT = 5
# Seconds that it stands still when it is asked to, and that it works before it does so again.
STILL = 0.3
# Ignored by a process that does not listen to it yet, unlike those meant for the purpose. Windows
# has none: there a patient process works on.
HUSH = getattr(signal, 'SIGURG', None)


class Aside:
    """A process of its own, begun with the first need of it; one piece of work at a time.

    With `patient` it lets every other process go first, and stands still when it is asked to.
    """

    def __init__(self, *, patient: bool = False) -> None:
        self._patient = patient
        self._pool: ProcessPoolExecutor | None = None

    async def run(
        self, work: Callable[Given, Result], *given: Given.args, **named: Given.kwargs
    ) -> Result:
        """Do this there, and give what it gives, or raise what it raises."""
        if self._pool is None:
            # Not forked: threads of the server may hold locks at that moment.
            context = multiprocessing.get_context('spawn')
            self._pool = ProcessPoolExecutor(
                1, context, initializer=_begin, initargs=(self._patient,)
            )
        try:
            return await asyncio.wrap_future(self._pool.submit(work, *given, **named))
        except BrokenProcessPool:
            self._pool = None
            raise

    def hush(self) -> None:
        """Ask a patient process to stand still for a moment, as something else is urgent.

        It counts the moment itself, so that none stands still for ever, whatever happens here.
        """
        if HUSH is None or self._pool is None:
            return
        for number in list(self._pool._processes or ()):  # noqa: SLF001
            with suppress(ProcessLookupError):
                os.kill(number, HUSH)

    async def stop(self) -> None:
        """End the process; what it was doing is left off."""
        pool, self._pool = self._pool, None
        if pool is not None:
            for process in list((pool._processes or {}).values()):  # noqa: SLF001
                process.terminate()
            await asyncio.to_thread(pool.shutdown, wait=True, cancel_futures=True)


def _begin(patient: bool) -> None:
    # A server that is interrupted ends its processes itself.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if patient and hasattr(os, 'nice'):
        os.nice(PATIENT)
    if patient and HUSH is not None:
        signal.signal(HUSH, Still())
        # What waits for a disk meanwhile goes on waiting.
        signal.siginterrupt(HUSH, False)


class Still:
    """Stands still, but never for more than half of the time."""

    def __init__(self) -> None:
        self._again = 0.0

    def __call__(self, *_: object) -> None:
        """Do nothing for a moment: called between two steps of whatever is being done."""
        now = time.monotonic()
        if now >= self._again:
            self._again = now + 2.0 * STILL
            time.sleep(STILL)
