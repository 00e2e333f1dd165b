"""A process beside the server for what takes long, so that no answer waits for it."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import ParamSpec, TypeVar

Result = TypeVar('Result')
Given = ParamSpec('Given')
# How nice a patient process is, on the scale of nice(2) of POSIX.
PATIENT = 5


class Aside:
    """A process of its own, begun with the first need of it; one piece of work at a time.

    With `patient` it lets every other process go first.
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
                1, context, initializer=_begin, initargs=(PATIENT if self._patient else 0,)
            )
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


def _begin(nice: int) -> None:
    # A server that is interrupted ends its processes itself.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if nice and hasattr(os, 'nice'):
        os.nice(nice)
