"""The built app: which addresses show it, and what browsers keep of it."""

from __future__ import annotations

import gzip

import pytest
from tests.serve.conftest import serve, write_tasting

from halfpoint.serve.settings import Settings

INDEX = '<!doctype html><title>halfpoint</title>'
HASHED = 'assets/shared-main-BX3kq_9a.js'
FILES = {
    'index.html': INDEX,
    'sw.js': 'self.skipWaiting()',
    'app.webmanifest': '{}',
    HASHED: 'console.log(1);' * 200,
    'assets/plain.css': 'p{}',
    '.vite/manifest.json': '{}',
}
PAGES = ['/', '/join', '/join/RKT74C', '/host', '/host/seats', '/desk', '/desk/looks/7']


@pytest.fixture
def built(tmp_path, _password):
    """A server with a small built app."""
    for name, content in FILES.items():
        file = tmp_path / 'app' / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(content)
    settings = Settings(tasting=write_tasting(tmp_path), app=tmp_path / 'app')
    yield from serve(settings, _password)


@pytest.mark.parametrize('address', PAGES)
def test_pages_are_one_page(built, address) -> None:
    """Every address of the app shows its one page, asked for anew each time."""
    answer = built.client.get(address)
    assert (200, INDEX, 'no-cache') == (
        answer.status_code, answer.text, answer.headers['cache-control'],
    )  # fmt: skip
    assert 'text/html; charset=utf-8' == answer.headers['content-type']


@pytest.mark.parametrize(
    'address',
    ['/joined', '/desks', '/api', '/api/', '/assets/', '/assets/gone.js', '/.vite/manifest.json',
     '/index.html/more', '/%2e%2e/tasting.toml', '/assets/../../tasting.toml', '/%00'],
)  # fmt: skip
def test_other_addresses_show_nothing(built, address) -> None:
    """An address that is no page and no file of the app is nothing, and never a file outside."""
    answer = built.client.get(address)
    assert 404 == answer.status_code
    assert 'mossgate' not in answer.text


def test_a_mistyped_address_shows_a_page(built) -> None:
    """Whoever typed an address that is none gets the app, which says so; programs get a problem."""
    typed = {'Accept': 'text/html,*/*'}
    for address in ('/joined', '/desks'):
        answer = built.client.get(address, headers=typed)
        assert 404 == answer.status_code
        assert answer.text == built.client.get('/').text
    assert 'json' in built.client.get('/api/desks', headers=typed).headers['content-type']


def test_files_with_a_hash_are_kept(built) -> None:
    """A file named by its content is kept for a year; the service worker never is."""
    assert 'public, max-age=31536000, immutable' == _keeping(built, f'/{HASHED}')
    assert {'no-cache'} == {
        _keeping(built, address) for address in ('/sw.js', '/app.webmanifest', '/assets/plain.css')
    }


def _keeping(built, address):
    return built.client.get(address).headers['cache-control']


def test_what_the_browser_has_is_not_sent_again(built) -> None:
    """With the tag of what it has, the browser is told that nothing changed."""
    tag = built.client.get('/').headers['etag']
    for known in (tag, f'W/{tag}', f'"other", {tag}'):
        answer = built.client.get('/', headers={'If-None-Match': known})
        assert (304, b'') == (answer.status_code, answer.content)
    assert 200 == built.client.get('/', headers={'If-None-Match': '"other"'}).status_code


def test_scripts_are_sent_packed(built) -> None:
    """A browser that takes gzip gets scripts packed, another as they are."""
    packed = built.client.get(f'/{HASHED}', headers={'Accept-Encoding': 'gzip'})
    plain = built.client.get(f'/{HASHED}', headers={'Accept-Encoding': 'identity'})
    assert 'gzip' == packed.headers['content-encoding']
    assert 'content-encoding' not in plain.headers
    assert packed.content == plain.content == FILES[HASHED].encode()
    assert int(packed.headers['content-length']) == len(gzip.compress(plain.content, 9, mtime=0))
    assert 'Accept-Encoding' in plain.headers['vary']


def test_types_are_told(built) -> None:
    """Files say what they are, as browsers are told not to guess."""
    told = {
        name: built.client.get(f'/{name}').headers['content-type']
        for name in FILES
        if '.' in name[1:]
    }
    assert 'text/javascript; charset=utf-8' == told['sw.js']
    assert 'application/manifest+json' == told['app.webmanifest']
    assert 'text/css; charset=utf-8' == told['assets/plain.css']


@pytest.mark.parametrize('address', PAGES)
def test_without_a_build_a_plain_page_says_how(tmp_path, address) -> None:
    """When the app was not built, every page says so, and how to build it."""
    settings = Settings(tasting=write_tasting(tmp_path), app=tmp_path / 'nothing')
    for evening in serve(settings):
        answer = evening.client.get(address)
        assert 503 == answer.status_code
        assert 'tools/build_app.py' in answer.text
        assert not any(inline in answer.text for inline in ('<script', '<style', 'style='))
