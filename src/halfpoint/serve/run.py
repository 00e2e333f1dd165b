"""Running the server: one process, one worker, until it is told to stop."""

from __future__ import annotations

import asyncio
import errno
import gc
import logging
import resource
import signal
import socket
import sys
from contextlib import suppress
from typing import Any

from granian.constants import Interfaces, SSLProtocols
from granian.server.embed import Server
from granian.utils.proxies import wrap_asgi_with_proxy_headers

from halfpoint.errors import OutputError, UsageError
from halfpoint.serve.app import create_app
from halfpoint.serve.certificates import LocalCertificate
from halfpoint.serve.ending import Ending
from halfpoint.serve.settings import Settings

# Waiting connections: a whole league may come at the same minute.
BACKLOG = 4096
HANDLES = 16_384


def check_port(settings: Settings) -> None:
    """Refuse now an address or port that cannot be listened on.

    Raises:
        OutputError: another program listens there, or it may not be used.
        UsageError: there is no such address on this machine.
    """
    try:
        family, kind, _, _, address = socket.getaddrinfo(
            settings.host, settings.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        with socket.socket(family, kind) as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            trial.bind(address)
    except OSError as reason:
        raise _cannot_listen(settings, reason) from reason


def _cannot_listen(settings: Settings, reason: OSError) -> OutputError | UsageError:
    where = f"--host {settings.host} --port {settings.port}"
    if reason.errno == errno.EADDRINUSE:
        return OutputError(
            f"port {settings.port} is taken by another program",
            where=where,
            expected="a port nobody listens on",
            remedy=f"stop the other program, or choose another: --port {settings.port + 1}",
        )
    if reason.errno == errno.EACCES:
        return OutputError(
            f"port {settings.port} may not be used by everybody",
            where=where,
            expected="a port above 1023",
            remedy="choose another, such as --port 8420",
        )
    return UsageError(
        f"this machine has no address {settings.host}",
        where=where,
        expected="127.0.0.1 for this machine alone, 0.0.0.0 for the whole network",
        remedy="name one of these, or an address of this machine",
    )


def run(settings: Settings, certificate: LocalCertificate | None) -> None:
    """Serve until Ctrl-C, or until the process is asked to end.

    Raises:
        LedgerError, OutputError: desk or record cannot be opened.
    """
    # Nothing about single requests is ever written: addresses may hold codes.
    logging.getLogger('_granian').setLevel(logging.ERROR)
    # The pen and the event loop take turns; at Python's own 5 ms an answer waits for many of them.
    sys.setswitchinterval(0.0005)
    # What is in memory of the record lives as long as the server; looking through all of it for
    # rubbish again and again makes answers wait.
    gc.freeze()
    gc.set_threshold(50_000, 50, 1_000)
    _allow_many_connections()
    asyncio.run(_serve(settings, certificate))


def _allow_many_connections() -> None:
    """Each open page takes a file handle, and systems allow few unless they are asked."""
    now, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = HANDLES if most == resource.RLIM_INFINITY else min(HANDLES, most)
    if now < wanted:
        with suppress(OSError, ValueError):
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, most))


async def _serve(settings: Settings, certificate: LocalCertificate | None) -> None:
    ending = Ending(create_app(settings))
    app: Any = ending
    if settings.behind_proxy:
        app = wrap_asgi_with_proxy_headers(app, trusted_hosts=['127.0.0.1', '::1'])
    server = Server(
        app,
        address=settings.host,
        port=settings.port,
        interface=Interfaces.ASGI,
        websockets=False,
        backlog=BACKLOG,
        log_enabled=False,
        log_access=False,
        ssl_cert=certificate.certificate if certificate else None,
        ssl_key=certificate.key if certificate else None,
        # Some phones in a room are old.
        ssl_protocol_min=SSLProtocols.tls12,
    )
    asked_to_end = asyncio.Event()
    loop = asyncio.get_running_loop()
    for which in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(which, asked_to_end.set)
    serving = asyncio.ensure_future(server.serve())
    asked = asyncio.ensure_future(asked_to_end.wait())
    await asyncio.wait((serving, asked), return_when=asyncio.FIRST_COMPLETED)
    if not serving.done():
        await ending.end()
        server.stop()  # type: ignore[no-untyped-call]
    asked.cancel()
    await serving
