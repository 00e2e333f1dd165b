"""Ending in good order."""

from __future__ import annotations

import asyncio

from halfpoint.serve.ending import Ending

SCOPE = {'type': 'http', 'path': '/'}


def _app(kind: bytes, seconds: float, done: list[str]):
    async def app(scope, receive, send):
        headers = [(b'content-type', kind)]
        await send({'type': 'http.response.start', 'status': 200, 'headers': headers})
        await asyncio.sleep(seconds)
        done.append('done')

    return app


async def _send(_message) -> None:
    """Nowhere."""


def _ended(kind: bytes, seconds: float, patience: float):
    """How the answer came out, and what it has done, when the server ends during it."""
    done: list[str] = []

    async def run():
        ending = Ending(_app(kind, seconds, done))
        answering = asyncio.ensure_future(ending(SCOPE, None, _send))
        await asyncio.sleep(0.02)
        await ending.end(patience)
        return (await asyncio.gather(answering, return_exceptions=True))[0]

    return asyncio.run(asyncio.wait_for(run(), 20)), done


def test_an_answer_under_way_is_finished() -> None:
    """What is being answered when the server ends is answered to its end."""
    assert (None, ['done']) == _ended(b'application/json', 0.1, 10)


def test_an_event_stream_is_ended_at_once() -> None:
    """A stream, that would go on for ever, ends without a complaint."""
    assert (None, []) == _ended(b'text/event-stream; charset=utf-8', 1000, 10)


def test_nobody_is_waited_for_too_long() -> None:
    """An answer that takes longer than anybody waits is broken off."""
    outcome, done = _ended(b'application/json', 1000, 0.05)
    assert (asyncio.CancelledError, []) == (type(outcome), done)


def test_other_than_requests_pass() -> None:
    """The beginning and end of the app itself are not taken for a request."""
    seen = []

    async def app(scope, receive, send):
        seen.append(scope['type'])

    ending = Ending(app)
    asyncio.run(ending({'type': 'lifespan'}, None, _send))
    assert ['lifespan'] == seen
