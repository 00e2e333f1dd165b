"""Whether a request that a cookie vouches for was made by our own page."""

from __future__ import annotations

from urllib.parse import urlsplit

from starlette.requests import Request

from halfpoint.serve.problems import Refused

HEADER = 'X-Halfpoint'
_SAFE = frozenset({'GET', 'HEAD', 'OPTIONS'})


def check_own_page(request: Request) -> None:
    """Refuse what another page has made the browser send.

    Three things hold by themselves already: the cookie is SameSite=Strict, another origin cannot
    set the header without asking first, and we never allow it to.

    Raises:
        Refused: 403; the header is missing, or the browser names another origin.
    """
    if request.method in _SAFE:
        return
    site = request.headers.get('Sec-Fetch-Site')
    origin = request.headers.get('Origin')
    foreign = site not in {None, 'same-origin', 'none'} or (
        site is None and origin is not None and urlsplit(origin).netloc != _own(request)
    )
    if foreign or request.headers.get(HEADER) != '1':
        raise Refused(
            403,
            'not-our-page',
            "a request that does not come from the desk's own page",
            remedy="open the desk at its own address, and try again there",
        )


def _own(request: Request) -> str:
    return request.headers.get('Host', '')
