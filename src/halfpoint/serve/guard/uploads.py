"""How much is taken at once, and from whom: both are decided before anything is read."""

from __future__ import annotations

import re
from collections.abc import Callable

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from halfpoint.serve.guard import roles
from halfpoint.serve.problems import Refused, refusal_response
from halfpoint.serve.settings import Limits

_AREAS: tuple[tuple[str, Callable[[Request], object]], ...] = (
    ('/api/desk/', roles.organiser_of),
    ('/api/site', roles.host_of),
    ('/api/sheet', roles.taster_of),
)
_FILES = re.compile(r'/api/(site|desk)/(photos|bundle)\b')


class Uploads:
    """Refuses bodies that are too large, and bodies from people who may not send any."""

    def __init__(self, app: ASGIApp, limits: Limits) -> None:
        self._app = app
        self._limits = limits

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, its body counted."""
        if scope['type'] != 'http' or scope['method'] in {'GET', 'HEAD', 'OPTIONS'}:
            await self._app(scope, receive, send)
            return
        request = Request(scope)
        most = self._most(scope['path'])
        try:
            _knock(request)
            said = request.headers.get('Content-Length', '0')
            if not said.isdecimal() or int(said) > most:
                raise _too_much(most)
        except Refused as refusal:
            await refusal_response(refusal)(scope, receive, send)
            return
        await self._app(scope, _counted(receive, most), send)

    def _most(self, path: str) -> int:
        if _FILES.match(path):
            return self._limits.upload
        return self._limits.desk_body if path.startswith('/api/desk/') else self._limits.body


def _knock(request: Request) -> None:
    for area, who in _AREAS:
        if request.url.path.startswith(area):
            who(request)
            return


def _counted(receive: Receive, most: int) -> Receive:
    total = 0

    async def counting() -> Message:
        nonlocal total
        message = await receive()
        total += len(message.get('body', b''))
        if total > most:
            raise HTTPException(413)
        return message

    return counting


def _too_much(most: int) -> Refused:
    size = f"{most // 1024**2} MB" if most >= 1024**2 else f"{most // 1024} KB"
    return Refused(
        413,
        'content-too-large',
        "too much at once",
        expected=f"at most {size} in one go",
        remedy="send less at a time; nothing of this was taken",
        headers={'Connection': 'close'},
    )
