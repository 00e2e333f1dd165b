"""The built browser app: its pages, and its files with what browsers may keep."""

from __future__ import annotations

import gzip
import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from importlib.resources import files
from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

PAGES = re.compile(r'(join|sheet|host|desk)(/.*)?|practice|guide')
# Files under assets/ carry a hash of what they hold in their names.
_NAMED_BY_CONTENT = re.compile(r'assets/.*-[\w-]{8,}\.\w+')
_KINDS = {
    '.css': 'text/css; charset=utf-8',
    '.html': 'text/html; charset=utf-8',
    '.ico': 'image/x-icon',
    '.js': 'text/javascript; charset=utf-8',
    '.json': 'application/json',
    '.png': 'image/png',
    '.svg': 'image/svg+xml',
    '.txt': 'text/plain; charset=utf-8',
    '.webmanifest': 'application/manifest+json',
    '.webp': 'image/webp',
    '.woff2': 'font/woff2',
}
_WORTH_PACKING = frozenset({'.css', '.html', '.js', '.json', '.svg', '.txt', '.webmanifest'})

NOT_BUILT = """<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>halfpoint: the pages are not built</title>
<h1>The pages are not built yet</h1>
<p>The server runs, and what was recorded is safe, but the browser app is not in this copy.</p>
<p>Build it with <code>python tools/build_app.py</code> in the folder of the source
(Node 20.19 or later is needed), then start <code>halfpoint serve</code> again.</p>
<p>An installed release of halfpoint has the pages built in.</p>
</html>
"""


@dataclass(frozen=True)
class _File:
    name: str
    content: bytes

    @cached_property
    def packed(self) -> bytes:
        """As gzip packs it; the same bytes each time."""
        return gzip.compress(self.content, 9, mtime=0)

    @cached_property
    def tag(self) -> str:
        """What changes when the content does."""
        return f'"{hashlib.sha256(self.content).hexdigest()[:32]}"'

    def answer(self, request: Request) -> Response:
        """The file, or that the browser has it already."""
        headers = {'ETag': self.tag, 'Cache-Control': self._keeping(), 'Vary': 'Accept-Encoding'}
        known = request.headers.get('If-None-Match', '')
        if self.tag in {tag.strip().removeprefix('W/') for tag in known.split(',')}:
            return Response(status_code=304, headers=headers)
        suffix, content = Path(self.name).suffix, self.content
        if suffix in _WORTH_PACKING and 'gzip' in request.headers.get('Accept-Encoding', ''):
            content, headers['Content-Encoding'] = self.packed, 'gzip'
        kind = _KINDS.get(suffix, 'application/octet-stream')
        return Response(content, headers=headers, media_type=kind)

    def _keeping(self) -> str:
        if _NAMED_BY_CONTENT.fullmatch(self.name):
            return 'public, max-age=31536000, immutable'
        return 'no-cache'


class BuiltApp:
    """The files of the app, read once; nothing outside of its folder is ever looked for."""

    def __init__(self, folder: Path | None = None) -> None:
        folder = folder or Path(str(files('halfpoint.serve') / 'app'))
        self.files: Mapping[str, _File] = {
            name: _File(name, path.read_bytes())
            for path in (sorted(folder.rglob('*')) if folder.is_dir() else ())
            if path.is_file() and not (name := path.relative_to(folder).as_posix()).startswith('.')
        }

    @property
    def is_built(self) -> bool:
        """Whether there are pages to show."""
        return 'index.html' in self.files

    async def answer(self, request: Request) -> Response:
        """A file by its name, or the one page that is behind every address of the app."""
        path = request.url.path.removeprefix('/')
        if path and path in self.files:
            return self.files[path].answer(request)
        if path == '' or PAGES.fullmatch(path):
            if not self.is_built:
                return HTMLResponse(NOT_BUILT, status_code=503)
            return self.files['index.html'].answer(request)
        if self.is_built and _is_typed(request):
            lost = self.files['index.html'].answer(request)
            # A page that the browser has already stays what it was.
            lost.status_code = 404 if lost.status_code == 200 else lost.status_code
            return lost
        raise HTTPException(404)


def _is_typed(request: Request) -> bool:
    """Whether a person went there, who is better shown a page than a problem."""
    is_page = not request.url.path.startswith('/api/')
    return is_page and 'text/html' in request.headers.get('Accept', '')
