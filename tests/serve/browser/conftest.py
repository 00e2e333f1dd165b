"""A real server, and phones that come to it: Chromium with the app as it is built."""

from __future__ import annotations

import json
import os
import shutil
import signal
import socket
import sqlite3
import ssl
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright
from tests.serve.conftest import WINES, write_tasting

from halfpoint.publish.handouts.join_code import join_codes

ROOT = Path(__file__).parents[3]
APP = ROOT / 'src/halfpoint/serve/app/index.html'
AXE = ROOT / 'web/node_modules/axe-core/axe.min.js'
SCREENSHOTS = ROOT / 'build/screenshots'
COMMAND = [sys.executable, '-c', 'from halfpoint.cli.main import run; run()']
PATIENCE = 60.0
# Whether it answers is asked; browsers ask whom they trust.
ANY_CERTIFICATE = ssl._create_unverified_context()
expect.set_options(timeout=15_000)
ROOM = 'tasting.room.test'
TASTING = f"""{WINES}
[[site]]
key = "mill"
name = "The Old Mill"
seats = 6
"""


@dataclass
class Served:
    """A tasting that is being served."""

    url: str
    file: Path

    @property
    def code(self) -> str:
        """The code on the card of the first table."""
        return join_codes('mossgate', [('mill', 1)])['mill', 1].code

    def records(self, kind: str) -> list[dict[str, Any]]:
        """The bodies of all records of a kind, in order."""
        with sqlite3.connect(self.file.with_suffix('.ledger')) as ledger:
            rows = ledger.execute(
                'SELECT body FROM record WHERE kind = ? ORDER BY sequence', (kind,)
            )
            return [json.loads(body) for (body,) in rows]


def chromium() -> str | None:
    """The browser of the system."""
    names = ('chromium', 'chromium-browser', 'google-chrome')
    return os.environ.get('CHROMIUM') or next(filter(None, map(shutil.which, names)), None)


@contextmanager
def serving(
    folder: Path,
    *options: str,
    host: str = '127.0.0.1',
    again: Served | None = None,
    empty: bool = False,
) -> Iterator[Served]:
    """`halfpoint serve` on an invented tasting, until the end.

    `again` serves one as it was served before; `empty` serves none, to be begun at the desk.
    """
    made = folder / 'tasting.toml' if empty else None
    file = again.file if again else made or write_tasting(folder, TASTING)
    port = int(again.url.rsplit(':', 1)[1]) if again else _free_port()
    scheme = 'https' if '--tls' in options else 'http'
    url = f'{scheme}://127.0.0.1:{port}'
    with (folder / 'told.txt').open('w') as told:
        process = subprocess.Popen(
            [*COMMAND, 'serve', str(file), '--port', str(port), '--host', host, *options],
            stdout=told, stderr=subprocess.STDOUT,
        )  # fmt: skip
    try:
        _wait_for(url, process)
        yield Served(url, file)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
        process.wait(PATIENCE)


def _free_port() -> int:
    with socket.socket() as trial:
        trial.bind(('127.0.0.1', 0))
        return int(trial.getsockname()[1])


def _wait_for(url: str, process: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until and process.poll() is None:
        try:
            with urllib.request.urlopen(f'{url}/api/hello', timeout=5, context=ANY_CERTIFICATE):
                return
        except OSError:
            time.sleep(0.05)
    pytest.fail(f'the server did not start (it ended with {process.poll()})')


@pytest.fixture(scope='module')
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """An invented tasting with a plan, served."""
    if not APP.is_file():
        pytest.skip("the browser app is not built: make app")
    with serving(tmp_path_factory.mktemp('served')) as server:
        yield server


@pytest.fixture(scope='module')
def browser() -> Iterator[Browser]:
    """Chromium, as the system has it."""
    path = chromium()
    if path is None:
        pytest.skip("there is no Chromium: install it (on Debian the package chromium)")
    with sync_playwright() as play:
        # A name that is not this machine's own, so that the browser holds it to be a network's.
        arguments = ['--no-sandbox', f'--host-resolver-rules=MAP {ROOM} 127.0.0.1']
        browser = play.chromium.launch(executable_path=path, args=arguments)
        yield browser
        browser.close()


@dataclass
class Phone:
    """A phone: its browser, the page it shows, and what went wrong on it."""

    context: BrowserContext
    page: Page
    complaints: list[str]

    def offline(self, state: bool = True) -> None:
        """Take the network away, or give it back."""
        self.context.set_offline(state)

    def join(self, server: Served, seat: int) -> Page:
        """From the link on the card to the first pour."""
        page = self.page
        page.goto(f'{server.url}/join/{server.code}')
        page.get_by_role('radio', name=f'Seat {seat}').check()
        again = page.get_by_role('button', name='It is me')
        sit = page.get_by_role('button', name='Sit down')
        again.or_(sit).first.wait_for()
        if again.is_visible():
            again.click()
        sit.click()
        page.get_by_role('button', name='To the first pour').click()
        page.get_by_role('slider').first.wait_for()
        return page

    def mark(self, name: str, mark: float, top: float, step: float = 0.5) -> None:
        """Tap a ruler where the mark is."""
        ruler = self.page.get_by_role('slider', name=name, exact=True)
        ruler.scroll_into_view_if_needed()
        box = ruler.bounding_box()
        assert box is not None
        cells = round(top / step) + 1
        ruler.click(position={'x': box['width'] * (mark / step + 0.5) / cells, 'y': 24})

    def mark_all(self) -> None:
        """Five taps for a good wine: 16½ of 20."""
        for name, mark, top in (
            ('Appearance', 3, 3), ('Aroma', 5, 6), ('Taste', 4.5, 6), ('Aftertaste', 2.5, 3),
            ('Overall impression', 1.5, 2),
        ):  # fmt: skip
            self.mark(name, mark, top)


# What Chromium says itself when a page asks without a network, or is refused on purpose.
# It also says that it minds no policy about other origins where nothing is encrypted.
EXPECTED = ('net::ERR_', 'Failed to load resource', 'Cross-Origin-Opener-Policy')


@pytest.fixture
def phone(browser: Browser) -> Iterator[Callable[..., Phone]]:
    """Makes phones; a page that breaks or is refused something by the policy fails the test."""
    phones: list[Phone] = []

    def make(width: int = 360, height: int = 760, **options: Any) -> Phone:
        viewport = {'width': width, 'height': height}
        # What the worker fetches for later costs time, so it is there for those who ask.
        options = {'service_workers': 'block', **options}
        context = browser.new_context(viewport=viewport, **options)
        page = context.new_page()
        made = Phone(context, page, [])
        page.on('pageerror', lambda error: made.complaints.append(str(error)))
        page.on(
            'console',
            lambda said: said.type == 'error' and made.complaints.append(said.text),
        )
        phones.append(made)
        return made

    yield make
    for each in phones:
        each.context.close()
    said = [text for each in phones for text in each.complaints]
    assert [] == [text for text in said if not any(part in text for part in EXPECTED)]


def look_over(page: Page, name: str, themes: tuple[str, ...] = ('light', 'dark')) -> list[str]:
    """What axe-core finds on a page in light and in dark, by WCAG 2.2 A and AA."""
    if not AXE.is_file():
        pytest.skip("axe-core is not there: make app")
    found = []
    size = page.viewport_size
    # As tall as the page, so that what is fixed to an edge covers nothing.
    page.set_viewport_size({'width': size['width'], 'height': page.evaluate(_HEIGHT)})
    page.evaluate(AXE.read_text(encoding='utf-8'))
    for theme in themes:
        run_only = ALL_RULES if theme == 'light' else CONTRAST
        page.emulate_media(color_scheme=theme)
        told = page.evaluate('(runOnly) => axe.run(document, {runOnly})', run_only)
        found += [
            f'{name} {theme}: {violation["id"]} at {node["html"][:160]}'
            for violation in told['violations']
            for node in violation['nodes']
        ]
    page.emulate_media(color_scheme='light')
    page.set_viewport_size(size)
    return found


ALL_RULES = {
    'type': 'tag',
    'values': ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
}
# In the dark nothing but colours differs.
CONTRAST = {'type': 'rule', 'values': ['color-contrast']}
_HEIGHT = '() => document.documentElement.scrollHeight + 200'


def picture(page: Page, name: str, *, full: bool = False) -> None:
    """A screenshot to be looked at, where `build/screenshots` is there for it."""
    if SCREENSHOTS.is_dir():
        page.screenshot(path=SCREENSHOTS / f'{name}.png', full_page=full)
