"""`halfpoint serve` as people start it: a process, a port, Ctrl-C."""

from __future__ import annotations

import re
import signal
import socket
import ssl
import subprocess
import sys
import time
from contextlib import contextmanager

import httpx
import pytest
from tests.serve.conftest import OWN, write_tasting

from halfpoint.cli import _parts
from halfpoint.errors import UsageError

COMMAND = [sys.executable, '-c', 'from halfpoint.cli.main import run; run()', 'serve']
PATIENCE = 60.0
SAID = re.compile(r"The organiser's password, shown this once: ([a-z0-9-]+)\n")


def _free_port() -> int:
    with socket.socket() as trial:
        trial.bind(('127.0.0.1', 0))
        return trial.getsockname()[1]


def _once(*arguments):
    return subprocess.run(
        [*COMMAND, *map(str, arguments)], capture_output=True, text=True, check=False
    )


@contextmanager
def _running(file, *options, scheme='http', verify=True):
    """The command running; gives its process and a client that talks to it."""
    port = _free_port()
    told = file.parent / 'told.txt'
    with told.open('w') as out:
        process = subprocess.Popen(
            [*COMMAND, str(file), '--port', str(port), *options],
            stdout=out, stderr=subprocess.STDOUT,
        )  # fmt: skip
    try:
        with httpx.Client(base_url=f'{scheme}://127.0.0.1:{port}', verify=verify) as client:
            _wait_for(client, process)
            yield process, client, told
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
        process.wait(PATIENCE)


def _wait_for(client, process) -> None:
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until and process.poll() is None:
        try:
            client.get('/api/hello')
        except httpx.TransportError:
            time.sleep(0.05)
        else:
            return
    pytest.fail(f'the server did not start (it ended with {process.poll()})')


@pytest.fixture
def file(tmp_path):
    """A tasting to be served."""
    return write_tasting(tmp_path)


def test_first_start_serving_and_stopping(file) -> None:
    """The first start shows a password that opens the desk; Ctrl-C ends all in good order."""
    with _running(file) as (process, client, told):
        (password,) = SAID.findall(told.read_text())
        sent = {'password': password}
        assert 200 == client.post('/api/login', json=sent, headers=OWN).status_code
        assert 200 == client.get('/api/desk/hosts').status_code
        taken = _once(file.with_name('other.toml'), '--port', client.base_url.port)
        assert (40, True) == (taken.returncode, 'is taken by another program' in taken.stderr)
        assert f'--port {client.base_url.port + 1}' in taken.stderr
        twice = _once(file, '--port', _free_port())
        assert (22, True) == (twice.returncode, 'being served already' in twice.stderr)
        process.send_signal(signal.SIGINT)
        assert 0 == process.wait(PATIENCE)
    said = told.read_text()
    assert f'Desk       http://127.0.0.1:{client.base_url.port}/desk' in said
    assert said.endswith("Stopped. Everything that was acknowledged is in the record.\n")
    assert 'Traceback' not in said
    assert 'api/' not in said, "no request is logged"


def test_it_stops_while_a_desk_is_open(file) -> None:
    """An open desk listens to a stream without an end, and keeps the server from nothing."""
    with _running(file) as (process, client, told):
        (password,) = SAID.findall(told.read_text())
        client.post('/api/login', json={'password': password}, headers=OWN)
        with client.stream('GET', '/api/desk/events') as events:
            assert 200 == events.status_code
            next(events.iter_raw())
            asked = time.monotonic()
            process.send_signal(signal.SIGTERM)
            assert 0 == process.wait(PATIENCE)
        assert time.monotonic() - asked < 20
    assert 'Traceback' not in told.read_text()


def test_the_password_is_shown_once(file) -> None:
    """A second start shows no password; `--new-password` makes another and ends sessions."""
    first = SAID.findall(_once(file, '--new-password').stdout)
    second = _once(file, '--new-password')
    assert 1 == len(first) == len(SAID.findall(second.stdout))
    assert "The old one opens nothing any more" in second.stdout
    with _running(file) as (_, client, told):
        assert [] == SAID.findall(told.read_text())
        new = SAID.findall(second.stdout)
        answers = [
            client.post('/api/login', json={'password': password}, headers=OWN).status_code
            for password in (*first, *new)
        ]
    assert [401, 200] == answers


def test_without_a_tasting_the_desk_waits_for_one(tmp_path) -> None:
    """Without a file the server starts, and says that there is no tasting yet."""
    with _running(tmp_path / 'tasting.toml') as (_, client, _told):
        assert client.get('/api/hello').json()['tasting'] is None


def test_with_tls(file) -> None:
    """With `--tls` a client that trusts the certificate talks encrypted, and is told it does."""
    context = ssl.create_default_context()
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    with _running(file, '--tls', scheme='https', verify=context) as (_, client, told):
        trusting = ssl.create_default_context(cafile=str(file.with_suffix('.cert.pem')))
        with httpx.Client(base_url=client.base_url, verify=trusting) as careful:
            assert careful.get('/api/hello').json()['secure']
        (password,) = SAID.findall(told.read_text())
        answer = client.post('/api/login', json={'password': password}, headers=OWN)
        assert 'Secure' in answer.headers['set-cookie']


def test_behind_a_proxy_addresses_are_those_of_the_people(file) -> None:
    """With `--behind-proxy` guessing is counted by who asked the proxy, and not all as one."""
    with _running(file, '--behind-proxy') as (_, client, _told):

        def guess(address: str) -> int:
            headers = {'X-Forwarded-For': address, 'X-Forwarded-Proto': 'https'}
            return client.post('/api/join', json={'code': 'AEIOUA'}, headers=headers).status_code

        assert {404} == {guess('198.51.100.7') for _ in range(20)}
        assert [429, 404] == [guess('198.51.100.7'), guess('198.51.100.8')]
        headers = {'X-Forwarded-For': '198.51.100.9', 'X-Forwarded-Proto': 'https'}
        assert client.get('/api/hello', headers=headers).json()['secure']


def test_without_the_option_no_proxy_is_believed(file) -> None:
    """Without `--behind-proxy`, what a request says of where it came from changes nothing."""
    with _running(file) as (_, client, _told):
        answers = {
            client.post(
                '/api/join', json={'code': 'AEIOUA'}, headers={'X-Forwarded-For': f'198.51.100.{n}'}
            ).status_code
            for n in range(25)
        }
    assert {404, 429} == answers


@pytest.mark.parametrize(
    ('arguments', 'code', 'said'),
    [
        (['notes.txt'], 2, 'a file whose name ends in .toml'),
        (['nowhere/tasting.toml'], 2, 'does not exist'),
        (['tasting.toml', '--host', '192.0.2.77'], 2, 'this machine has no address'),
        (['broken.toml'], 15, 'broken.toml'),
        (['tasting.toml', '--ledger', 'notes.txt'], 20, 'notes.txt'),
        (['tasting.toml', '--ledger', 'sqlite:///notes.txt'], 20, 'notes.txt'),
        (
            ['tasting.toml', '--ledger', 'postgresql://ann@127.0.0.1:1/wine'],
            20,
            'cannot be reached',
        ),
        (['tasting.toml', '--ledger', 'postgresql://ann@127.0.0.1'], 2, 'USER@HOST'),
        (['tasting.toml', '--ledger', 'mysql://ann@127.0.0.1/wine'], 2, 'USER@HOST'),
    ],
)
def test_what_cannot_be_served(file, monkeypatch, arguments, code, said) -> None:
    """What cannot be served is refused at once, with a reason and the exit code for it."""
    monkeypatch.chdir(file.parent)
    (file.parent / 'broken.toml').write_text('[tasting')
    (file.parent / 'notes.txt').write_text('mine, and not a record at all')
    answer = _once(*arguments, '--port', _free_port())
    assert (code, '') == (answer.returncode, answer.stdout)
    assert said in answer.stderr
    assert 'Traceback' not in answer.stderr
    assert 'mine, and not a record at all' == (file.parent / 'notes.txt').read_text()


def test_missing_parts_are_named(monkeypatch) -> None:
    """Where the parts for serving are not installed, that is said, and how to install them."""
    monkeypatch.setitem(_parts.SERVING, 'no_such_part', 'no-such-package')
    with pytest.raises(UsageError) as refusal:
        _parts.check_serving_parts("halfpoint serve")
    assert 'no-such-package' in refusal.value.found
    assert 'halfpoint[serve]' in refusal.value.remedy
