"""A server with a certificate of its own, and a browser that trusts its authority or does not."""

from __future__ import annotations

import shutil
import subprocess
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.error import HTTPError

import pytest
from playwright.sync_api import BrowserContext, Error, sync_playwright
from tests.serve.browser.conftest import ANY_CERTIFICATE, Phone, Served, chromium, serving

# The worker, or after nine seconds nothing.
READY = """() => Promise.race([
    navigator.serviceWorker.ready.then(() => true),
    new Promise((later) => setTimeout(() => later(false), 9000)),
])"""


@pytest.fixture(scope='module')
def encrypted(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A tasting served with --tls."""
    with serving(tmp_path_factory.mktemp('encrypted'), '--tls') as server:
        yield server


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """The home of somebody whose browser trusts whom it is told to trust."""
    if not shutil.which('certutil'):
        pytest.skip("there is no certutil: on Debian the package libnss3-tools")
    store = tmp_path / '.pki/nssdb'
    store.mkdir(parents=True)
    subprocess.run(
        ['certutil', '-N', '-d', f'sql:{store}', '--empty-password'], check=True
    )  # fmt: skip
    return tmp_path


@pytest.fixture
def visit(home: Path) -> Iterator[Callable[..., BrowserContext]]:
    """Opens a browser of that somebody."""
    path = chromium()
    if path is None:
        pytest.skip("there is no Chromium: install it (on Debian the package chromium)")
    with sync_playwright() as play:
        open_now = []

        def opened(**options: bool) -> BrowserContext:
            browser = play.chromium.launch(
                executable_path=path, args=['--no-sandbox'], env={'HOME': str(home)}
            )
            open_now.append(browser)
            return browser.new_context(**options)

        yield opened
        for browser in open_now:
            browser.close()


def test_whoever_takes_in_the_authority_keeps_the_sheet(encrypted, home, visit) -> None:
    """What /trust hands out is enough for a page without a question, kept by its worker."""
    with urllib.request.urlopen(f'{encrypted.url}/trust', context=ANY_CERTIFICATE) as answer:
        (home / 'halfpoint.crt').write_bytes(answer.read())
    subprocess.run(
        ['certutil', '-A', '-d', f'sql:{home}/.pki/nssdb', '-n', 'halfpoint', '-t', 'C,,',
         '-i', home / 'halfpoint.crt'],
        check=True,
    )  # fmt: skip
    page = visit().new_page()
    page.goto(f'{encrypted.url}/join/{encrypted.code}')
    assert page.evaluate(READY)


def test_whoever_does_not_take_it_in_is_asked(encrypted, visit) -> None:
    """Without the authority the browser warns before it shows anything."""
    page = visit().new_page()
    with pytest.raises(Error, match='ERR_CERT_AUTHORITY_INVALID'):
        page.goto(f'{encrypted.url}/join')


def test_a_sheet_that_is_not_kept_says_what_to_do(encrypted, visit) -> None:
    """Where the browser takes no worker all the same, the sheet offers the authority."""
    page = visit(ignore_https_errors=True).new_page()
    page.add_init_script(
        "ServiceWorkerContainer.prototype.register = () => Promise.reject(new Error('refused'))"
    )
    Phone(page.context, page, []).join(encrypted, 1)
    page.goto(f'{encrypted.url}/?view=pours')
    with page.expect_download() as handed:
        page.get_by_role('link', name="Take in the certificate").click()
    assert 'halfpoint.crt' == handed.value.suggested_filename


def test_without_it_there_is_nothing_to_trust(served) -> None:
    """A server that makes no certificate hands none out."""
    with pytest.raises(HTTPError, match='404'):
        urllib.request.urlopen(f'{served.url}/trust')
