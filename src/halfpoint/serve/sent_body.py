"""Sheets out of the body of a request, whatever letters are in it."""

from __future__ import annotations

import json
import re
from typing import Any

from fastapi import Request
from fastapi.exceptions import RequestValidationError
from pydantic import ValidationError

from halfpoint.serve.problems import Refused
from halfpoint.serve.wire.marks import MOST_BYTES, SentEntries

# Half of a pair that stands for one character: no text, and not to be recorded as it is.
_HALF = re.compile('[\ud800-\udfff]')
BODY: dict[str, Any] = {
    'requestBody': {
        'required': True,
        'content': {'application/json': {'schema': {'$ref': '#/components/schemas/SentEntries'}}},
    }
}


async def sent_entries(request: Request) -> SentEntries:
    """The sheets that a device sends.

    Raises:
        Refused: 413 for more than 256 KB.
        RequestValidationError: it is not as agreed.
    """
    body = await read_within(request, MOST_BYTES)
    try:
        return SentEntries.model_validate_json(body)
    except ValidationError as reason:
        mended = _mended(body)
        if mended is None:
            raise _misfit(reason) from reason
    try:
        return SentEntries.model_validate(mended)
    except ValidationError as reason:
        raise _misfit(reason) from reason


def _misfit(reason: ValidationError) -> RequestValidationError:
    errors = reason.errors(include_url=False, include_input=False, include_context=False)
    return RequestValidationError([{**error, 'loc': ('body', *error['loc'])} for error in errors])


def _mended(body: bytes) -> Any | None:
    """The body with halves of characters marked and written out; None when there are none."""
    if b'\\ud' not in body.lower():
        return None
    try:
        text = json.dumps(json.loads(body), ensure_ascii=False)
    except (ValueError, RecursionError):
        return None
    # SUBSTITUTE, which is no text either: the sheet is then held, and shows what was there.
    return json.loads(_HALF.sub(lambda found: f'\\u001au{ord(found[0]):04x}', text))


async def read_within(request: Request, most: int) -> bytes:
    """The body of a request, when it is not longer than so many bytes.

    Raises:
        Refused: 413; the rest is not read.
    """
    length = request.headers.get('Content-Length', '')
    if length.isdecimal() and int(length) > most:
        raise _too_much(most)
    parts, size = [], 0
    async for part in request.stream():
        size += len(part)
        if size > most:
            raise _too_much(most)
        parts.append(part)
    return b''.join(parts)


def _too_much(most: int) -> Refused:
    said = f"{most // 1024:,} KB" if most < 1024 * 1024 else f"{most // (1024 * 1024):,} MB"
    return Refused(
        413,
        'too-much',
        f"more than {said} at once",
        expected=f"at most {said}",
        remedy="send fewer sheets at a time, or shorten what is very long; it is still here",
    )
