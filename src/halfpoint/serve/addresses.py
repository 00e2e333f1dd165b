"""Under which addresses other devices find this machine."""

from __future__ import annotations

import ipaddress
import socket
from contextlib import suppress

from starlette.requests import Request

from halfpoint.serve.settings import Settings

# Browsers treat these as safe without encryption (W3C Secure Contexts, section 3.1).
OWN_MACHINE = frozenset({'localhost', '127.0.0.1', '::1'})
EVERYWHERE = frozenset({'0.0.0.0', '::', ''})  # noqa: S104
# Reserved for documentation (RFC 5737, RFC 3849), so that nothing is ever sent there.
_NOWHERE = ((socket.AF_INET, '192.0.2.1'), (socket.AF_INET6, '2001:db8::1'))


def lan_addresses() -> tuple[str, ...]:
    """The addresses of this machine in its network; none when it is in none."""
    found: dict[str, None] = {}
    for family, nowhere in _NOWHERE:
        # Nothing is sent: it only asks which way it would go.
        with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as asking:
            asking.connect((nowhere, 9))
            found[asking.getsockname()[0]] = None
    with suppress(OSError):
        for entry in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET):
            found[str(entry[4][0])] = None
    return tuple(address for address in found if _of_a_network(address))


def _of_a_network(address: str) -> bool:
    known = ipaddress.ip_address(address)
    return not (known.is_loopback or known.is_link_local or known.is_unspecified)


def base_urls(settings: Settings) -> tuple[str, ...]:
    """Where pages are found, from this machine first; then from others in the network."""
    scheme = 'https' if settings.tls else 'http'
    everywhere = settings.host in EVERYWHERE
    hosts = ['127.0.0.1', *lan_addresses()] if everywhere else [settings.host]
    return tuple(f'{scheme}://{_in_url(host)}:{settings.port}' for host in hosts)


def base_for_others(request: Request, settings: Settings) -> str:
    """What addresses for other devices begin with: as the organiser has it, or in the network."""
    if request.url.hostname in OWN_MACHINE:
        others = base_urls(settings)[1:]
        if others and not settings.behind_proxy:
            return others[0]
    return str(request.base_url).rstrip('/')


def _in_url(host: str) -> str:
    return f'[{host}]' if ':' in host else host
