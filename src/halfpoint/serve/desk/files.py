"""Files to download."""

from __future__ import annotations

import re

from fastapi import Response

_NOT_IN_NAMES = re.compile(r'[^A-Za-z0-9._-]+')


def as_file(content: bytes | str, media_type: str, name: str, *, inline: bool = False) -> Response:
    """An answer that a browser keeps as a file of this name; nothing on the way keeps it."""
    how = 'inline' if inline else 'attachment'
    safe = _NOT_IN_NAMES.sub('-', name)
    headers = {
        'Content-Disposition': f'{how}; filename="{safe}"',
        'Cache-Control': 'private, no-store',
    }
    return Response(content, media_type=media_type, headers=headers)
