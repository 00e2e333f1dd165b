"""Answers that a client may have already: a tag over all that matters of them (RFC 9110, 8.8.3)."""

from __future__ import annotations

import hashlib
from collections.abc import Set as AbstractSet

from fastapi import Request, Response
from pydantic import BaseModel

JSON = 'application/json'


def as_json(shown: BaseModel) -> Response:
    """The answer as JSON; nothing on the way may keep it."""
    return Response(shown.model_dump_json(), media_type=JSON, headers={'Cache-Control': 'no-store'})


def tagged(
    request: Request, shown: BaseModel, beside: AbstractSet[str] = frozenset({'server_time'})
) -> Response:
    """The answer, or 304 when the client has it; `beside` are fields that do not matter."""
    words = shown.model_dump_json(exclude=set(beside))
    tag = f'"{hashlib.sha256(words.encode("utf-8")).hexdigest()[:20]}"'
    headers = {'ETag': tag, 'Cache-Control': 'private, no-cache'}
    had = {each.strip().removeprefix('W/') for each in _asked(request).split(',')}
    if tag in had or had == {'*'}:
        return Response(status_code=304, headers=headers)
    return Response(shown.model_dump_json(), media_type=JSON, headers=headers)


def _asked(request: Request) -> str:
    return request.headers.get('If-None-Match', '')
