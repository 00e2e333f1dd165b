"""Helpers of the tests at the desk: signing in, and sheets that arrive from phones."""

from __future__ import annotations

import json
import random
import re
import urllib.request
import uuid
from typing import Any

from playwright.sync_api import Page

from .conftest import Served

NAME = "Ottoline Fenn"
TITLE = "Mossgate evening (invented)"
TOPS = {'appearance': 3, 'aroma': 6, 'taste': 6, 'aftertaste': 3, 'overall': 2}


def password_of(server: Served) -> str:
    """The password, as the server has shown it once."""
    told = (server.file.parent / 'told.txt').read_text(encoding='utf-8')
    found = re.search(r'shown this once: (\S+)', told)
    assert found is not None, told
    return found[1]


def sign_in(page: Page, server: Served) -> None:
    """From the desk's address to its first page."""
    page.goto(f'{server.url}/desk')
    page.get_by_label("Your name").fill(NAME)
    page.get_by_label("Password").fill(password_of(server))
    page.get_by_role('button', name="Sit down at the desk").click()
    page.locator('#desk-pages').wait_for(state='attached')


def sign_in_german(page: Page, server: Served) -> None:
    """From the desk's door to its first page, in a browser that speaks German."""
    page.get_by_label("Passwort").fill(password_of(server))
    page.get_by_role('button', name="An den Schreibtisch").click()
    page.locator('#desk-pages').wait_for(state='attached')


def host_link(page: Page) -> str:
    """A link for the host of the first room, made at the desk."""
    page.get_by_role('button', name="Make a link").click()
    field = page.get_by_role('textbox', name="The link for")
    field.wait_for()
    return field.input_value()


def ask(server: Served, method: str, path: str, body: Any = None, token: str = '') -> Any:
    """A phone's request without a browser."""
    headers = {'Content-Type': 'application/json', 'X-Halfpoint': '1'}
    if token:
        headers['Authorization'] = f'Bearer {token}'
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(server.url + path, data, headers, method=method)
    with urllib.request.urlopen(request, timeout=30) as answer:
        return json.load(answer)


class Taster:
    """A phone at a seat, without a browser."""

    def __init__(self, server: Served, seat: int) -> None:
        self.server, self.device = server, str(uuid.uuid4())
        place = {'code': server.code, 'seat': seat, 'device': self.device}
        self.token = ask(server, 'POST', '/api/join/seat', place)['token']
        self.codes = [
            pour['code'] for pour in ask(server, 'GET', '/api/sheet', token=self.token)['pours']
        ]

    def send(self, code: str, marks: dict[str, float], **more: Any) -> Any:
        """Send one pour; what the server says of it."""
        entry = {
            'id': str(uuid.uuid4()), 'version': 1, 'code': code, 'marks': marks,
            'complete': True, 'written': '2026-03-06T20:00:00Z', **more,
        }  # fmt: skip
        body = {'device': self.device, 'app': 'test', 'entries': [entry]}
        return ask(self.server, 'PUT', '/api/sheet/entries', body, self.token)['answers'][0]


def fill(server: Served, seats: range) -> None:
    """Sheets of some seats, by chance but the same each time; wines differ a little."""
    chance = random.Random(5)
    for seat in seats:
        taster = Taster(server, seat)
        for place, code in enumerate(sorted(taster.codes)):
            marks = {
                key: min(top, round(2 * top * chance.uniform(0.5, 0.8) + 0.5 * place) / 2)
                for key, top in TOPS.items()
            }
            taster.send(code, marks, terms=[])


def settled(page: Page) -> None:
    """Nothing on the page waits for the server any more."""
    page.locator('h1').first.wait_for()
    page.wait_for_function("() => !document.querySelector('.wait')", timeout=90_000)
