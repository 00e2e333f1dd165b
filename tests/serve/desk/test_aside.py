"""A process beside the server that lets others go first."""

from __future__ import annotations

import asyncio
import os
import time
import timeit

import pytest

from halfpoint.serve.desk import aside
from halfpoint.serve.desk.aside import STILL, Aside, Still


@pytest.mark.skipif(aside.HUSH is None, reason="there is no such signal here")
def test_patience_in_a_process_stands_still_and_goes_on() -> None:
    """Asked to, it does nothing for a moment, then finishes; asked while it begins, it lives."""

    async def urgent() -> float:
        beside = Aside(patient=True)
        beside.hush()
        beginning = asyncio.create_task(beside.run(os.getpid))
        await asyncio.sleep(0)
        for _ in range(20):
            beside.hush()
        await beginning
        steps = beside.run(timeit.repeat, 'sum(range(10_000))', repeat=6_000, number=1)
        working = asyncio.create_task(steps)
        while not working.done():
            beside.hush()
            await asyncio.sleep(0.05)
        await beside.stop()
        return max(await working)

    assert STILL <= asyncio.run(urgent())


def test_nobody_is_kept_still_for_ever() -> None:
    """Asked again and again, it works half of the time."""
    still, began = Still(), time.monotonic()
    still()
    assert time.monotonic() - began >= STILL
    asked_again = time.monotonic()
    for _ in range(100):
        still()
    assert time.monotonic() - asked_again < STILL
