"""The stream of what happens: one broadcaster, and streams that only wait for its next word.

Server-sent events (WHATWG HTML, section 9.2). Each is written once, whoever listens.
"""

from __future__ import annotations

import asyncio
import json
from collections import deque
from collections.abc import AsyncIterator
from contextlib import suppress

from halfpoint.errors import HalfpointError
from halfpoint.ledger.replay import State
from halfpoint.serve.desk.looks import Kind
from halfpoint.serve.desk.looks_index import LooksIndex
from halfpoint.serve.desk.progress import Progress, progress_of
from halfpoint.serve.house import House
from halfpoint.serve.served import Served

# What comes within this many seconds is told together.
TOGETHER = 0.5
HEARTBEAT = 15.0
KEPT = 64


class Events:
    """Tells every listener what happens, as long as there is one."""

    def __init__(self, looks: LooksIndex) -> None:
        self._looks = looks
        self._words: deque[tuple[int, bytes]] = deque(maxlen=KEPT)
        self._number = 0
        self._turn: asyncio.Future[None] | None = None
        self._tasks: list[asyncio.Task[None]] = []
        self._listeners = 0
        self._progress: Progress | None = None
        self._arrived: dict[str, tuple[int, str]] = {}
        self._counts: dict[Kind, int] = {}
        self._revealed: bool | None = None

    async def listen(self, house: House) -> AsyncIterator[bytes]:
        """Everything from now on; how things stand comes first."""
        served = await house.served()
        self._begin(house)
        self._listeners += 1
        try:
            yield await self._standing(house, served)
            seen = self._number
            while True:
                for number, word in tuple(self._words):
                    if number > seen:
                        seen = number
                        yield word
                if seen == self._number:
                    await asyncio.shield(self._next())
        finally:
            self._listeners -= 1

    async def progress(self, house: House) -> Progress:
        """How far each site is now; counted once for each change."""
        served = await house.served()
        known, phase = self._progress, await served.writer.read(served.phase)
        if known is not None and (known.version, known.state) == (served.writer.version, phase):
            return known
        seating = await house.find_seating()
        last = {site: when for site, (_, when) in self._arrived.items()}

        def count(state: State) -> Progress:
            return progress_of(
                served.tasting, state, phase=served.phase(state), seating=seating, last=last
            )

        found = await served.writer.read(count)
        self._progress = self._with_last(found, served.utc())
        return self._progress

    def results(self, version: int) -> None:
        """Tell that a new result is ready."""
        self._tell('results', {'version': version})

    async def stop(self) -> None:
        """Leave off."""
        for task in self._tasks:
            task.cancel()
        for task in self._tasks:
            with suppress(asyncio.CancelledError):
                await task

    def _begin(self, house: House) -> None:
        if not self._tasks:
            self._tasks = [
                asyncio.create_task(self._watch(house)),
                asyncio.create_task(self._beat()),
            ]

    async def _watch(self, house: House) -> None:
        version = 0
        while True:
            served = await house.served()
            version = await served.writer.changed_after(version)
            await asyncio.sleep(TOGETHER)
            if self._listeners == 0:
                continue
            # What cannot be counted now is counted with the next change.
            with suppress(HalfpointError):
                await self._look(house, served)

    async def _look(self, house: House, served: Served) -> None:
        progress = await self.progress(house)
        self._tell('progress', progress.model_dump())
        looks = await self._looks.catch_up(served)
        if looks.counts != self._counts:
            self._counts = looks.counts
            self._tell('looks', {'version': looks.version, 'counts': looks.counts})
        revealed = progress.state == 'revealed'
        if revealed and self._revealed is False:
            self._tell('revealed', {'version': progress.version})
        self._revealed = revealed

    async def _beat(self) -> None:
        while True:
            await asyncio.sleep(HEARTBEAT)
            if self._listeners:
                self._say(b': still here\n\n')

    async def _standing(self, house: House, served: Served) -> bytes:
        progress = await self.progress(house)
        if self._revealed is None:
            self._revealed = progress.state == 'revealed'
        looks = self._looks.now
        if not looks.version:
            looks = await self._looks.catch_up(served)
        counts = {'version': looks.version, 'counts': looks.counts}
        return b''.join((
            b'retry: 3000\n', _event('progress', progress.model_dump()), _event('looks', counts),
        ))  # fmt: skip

    def _with_last(self, progress: Progress, now: str) -> Progress:
        for site in progress.sites:
            before = self._arrived.get(site.key)
            if before is None or before[0] != site.arrived:
                self._arrived[site.key] = site.arrived, '' if before is None else now
            site.last = self._arrived[site.key][1] or None
        return progress

    def _tell(self, name: str, data: object) -> None:
        self._say(_event(name, data))

    def _say(self, word: bytes) -> None:
        self._number += 1
        self._words.append((self._number, word))
        if self._turn is not None and not self._turn.done():
            self._turn.set_result(None)
        self._turn = None

    def _next(self) -> asyncio.Future[None]:
        if self._turn is None:
            self._turn = asyncio.get_running_loop().create_future()
        return self._turn


def _event(name: str, data: object) -> bytes:
    return f'event: {name}\ndata: {json.dumps(data, ensure_ascii=False)}\n\n'.encode()
