"""Ending in good order: what is being answered is finished, what has no end is ended."""

from __future__ import annotations

import asyncio

from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Seconds for an answer under way: longer than writing marks takes, shorter than anybody waits.
PATIENCE = 5.0


class Ending:
    """Knows every request that is being answered, so that the server can end with none left.

    An event stream has no end of its own, and would keep the server for as long as a desk is open
    anywhere.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._answering: set[asyncio.Task[object]] = set()
        self._streams: set[asyncio.Task[object]] = set()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, and know of it meanwhile."""
        task = asyncio.current_task()
        if scope['type'] != 'http' or task is None:
            await self._app(scope, receive, send)
            return

        async def watching(message: Message) -> None:
            if message['type'] == 'http.response.start' and _is_stream(message):
                self._streams.add(task)
            await send(message)

        self._answering.add(task)
        try:
            await self._app(scope, receive, watching)
        except asyncio.CancelledError:
            # The stream ends here, in order; whoever listened comes back to another start.
            if task not in self._streams:
                raise
        finally:
            self._answering.discard(task)
            self._streams.discard(task)

    async def end(self, patience: float = PATIENCE) -> None:
        """End the streams, wait a little for the answers under way, then end those too."""
        for task in self._streams:
            task.cancel()
        if self._answering:
            _, late = await asyncio.wait(self._answering, timeout=patience)
            for task in late:
                task.cancel()


def _is_stream(message: Message) -> bool:
    kind = dict(message['headers']).get(b'content-type', b'')
    return bool(kind.startswith(b'text/event-stream'))
