"""The server in a process of its own, on a free port, as the benches ask it."""

from __future__ import annotations

import signal
import socket
import subprocess
import time
import urllib.request
from collections.abc import Iterator, Sequence
from contextlib import contextmanager


@contextmanager
def serving(command: Sequence[str]) -> Iterator[tuple[int, subprocess.Popen[bytes]]]:
    """What this command serves on the port that is added to it; ended at the end."""
    with socket.socket() as free:
        free.bind(('127.0.0.1', 0))
        port = free.getsockname()[1]
    process = subprocess.Popen([*command, '--port', str(port)], stdout=subprocess.DEVNULL)
    try:
        _wait_for(port, process)
        yield port, process
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(20)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _wait_for(port: int, process: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until and process.poll() is None:
        try:
            urllib.request.urlopen(f'http://127.0.0.1:{port}/api/hello', timeout=30).read()
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise SystemExit('the server did not start')
