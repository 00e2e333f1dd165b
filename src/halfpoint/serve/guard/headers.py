"""What every answer tells the browser: nothing from elsewhere, nothing inline, no frames."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Names of directives and headers are those of W3C Content Security Policy Level 3, W3C Permissions
# Policy and the WHATWG Fetch standard.
CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
ALWAYS = {
    'Content-Security-Policy': CONTENT_SECURITY_POLICY,
    'Cross-Origin-Opener-Policy': 'same-origin',
    'Cross-Origin-Resource-Policy': 'same-origin',
    # The camera is for photographs of paper sheets and for the squares on the tables.
    'Permissions-Policy': 'camera=(self), geolocation=(), microphone=(), payment=(), usb=()',
    'Referrer-Policy': 'no-referrer',
    'X-Content-Type-Options': 'nosniff',
    'X-Frame-Options': 'DENY',
}
# What only pages heed; a first load over a weak network is a dozen files that are none.
FOR_PAGES = {'Cross-Origin-Opener-Policy', 'Permissions-Policy', 'X-Frame-Options'}
FOR_FILES = {name: value for name, value in ALWAYS.items() if name not in FOR_PAGES}


class Headers:
    """Adds the headers to every answer; what the API says is kept nowhere unless it allows it."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request as the app does, with the headers."""
        if scope['type'] != 'http':
            await self._app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message['type'] == 'http.response.start':
                headers = MutableHeaders(scope=message)
                for name, value in _headers(scope['path'], headers).items():
                    headers[name] = value
                if scope['path'].startswith('/api/'):
                    headers.setdefault('Cache-Control', 'no-store')
            await send(message)

        await self._app(scope, receive, with_headers)


def _headers(path: str, told: MutableHeaders) -> dict[str, str]:
    is_page = told.get('Content-Type', 'text/html').startswith('text/html')
    return FOR_FILES if path.startswith('/assets/') and not is_page else ALWAYS
