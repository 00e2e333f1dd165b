"""Files to download."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable

from fastapi import Response

_NOT_IN_NAMES = re.compile(r'[^A-Za-z0-9._-]+')
# One moment for all members: the same content gives the same bytes.
_MOMENT = (1980, 1, 1, 0, 0, 0)


def as_file(content: bytes | str, media_type: str, name: str, *, inline: bool = False) -> Response:
    """An answer that a browser keeps as a file of this name; nothing on the way keeps it."""
    how = 'inline' if inline else 'attachment'
    safe = _NOT_IN_NAMES.sub('-', name)
    headers = {
        'Content-Disposition': f'{how}; filename="{safe}"',
        'Cache-Control': 'private, no-store',
    }
    return Response(content, media_type=media_type, headers=headers)


def zipped(members: Iterable[tuple[str, bytes | str]]) -> bytes:
    """Names and contents as one ZIP file."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, 'w', zipfile.ZIP_DEFLATED) as archive:
        for name, content in members:
            archive.writestr(zipfile.ZipInfo(name, _MOMENT), content)
    return packed.getvalue()
