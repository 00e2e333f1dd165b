"""Headers, requests of other pages, and how much is taken at once."""

from __future__ import annotations

import asyncio
import logging
import re

import pytest
from tests.serve.conftest import OWN, PASSWORD, Evening, serve, write_tasting

from halfpoint.serve.guard.limits import MOST_KEYS, Counter
from halfpoint.serve.problems import Refused
from halfpoint.serve.settings import Limits, Rate, Settings

EVERYWHERE = ['/', '/desk', '/api/hello', '/api/sheet', '/api/nowhere', '/nowhere', '/sw.js']


@pytest.mark.parametrize('address', EVERYWHERE)
def test_every_answer_forbids_what_is_not_ours(served, address) -> None:
    """No answer lets the browser run what is inline, ask third parties, or be framed."""
    headers = served.client.get(address).headers
    policy = dict(
        part.strip().partition(' ')[::2] for part in headers['content-security-policy'].split(';')
    )
    assert "'none'" == policy['default-src']
    assert {"'self'"} == {policy[kind] for kind in ('script-src', 'style-src', 'connect-src')}
    assert "'none'" == policy['frame-ancestors']
    assert 'unsafe' not in headers['content-security-policy']
    assert 'http' not in headers['content-security-policy']
    assert ('nosniff', 'no-referrer') == (
        headers['x-content-type-options'], headers['referrer-policy'],
    )  # fmt: skip
    assert 'camera=(self)' in headers['permissions-policy']


def test_files_of_the_app_leave_out_what_only_pages_heed(served) -> None:
    """They still say what may be run and that their kind is not to be guessed."""
    page = served.client.get('/')
    script = re.search(r'/assets/[\w.-]+\.js', page.text)
    if script is None:
        pytest.skip("the browser app is not built: make app")
    headers = served.client.get(script[0]).headers
    assert 'permissions-policy' not in headers
    assert 'nosniff' == headers['x-content-type-options']
    assert headers['content-security-policy'] == page.headers['content-security-policy']


def test_what_the_api_says_is_kept_nowhere(served) -> None:
    """Answers of the API are not stored by browsers or what lies between."""
    assert 'no-store' == served.client.get('/api/hello').headers['cache-control']


FOREIGN = [
    {},
    {'X-Halfpoint': '1', 'Sec-Fetch-Site': 'cross-site'},
    {'X-Halfpoint': '1', 'Sec-Fetch-Site': 'same-site'},
    {'X-Halfpoint': '1', 'Origin': 'http://elsewhere.test'},
    {'X-Halfpoint': '1', 'Origin': 'null'},
    {'Sec-Fetch-Site': 'same-origin'},
]


@pytest.mark.parametrize('headers', FOREIGN, ids=str)
def test_another_page_changes_nothing_at_the_desk(evening, headers) -> None:
    """With the organiser's cookie alone, another page can change nothing."""
    cookie = {'Cookie': evening.log_in()['Cookie']}
    sent = {'site': 'mill', 'days': 1}
    answer = evening.client.post('/api/desk/hosts', json=sent, headers={**cookie, **headers})
    assert (403, 'not-our-page') == (answer.status_code, answer.json()['code'])
    assert [] == evening.house.desk.hosts()


@pytest.mark.parametrize('headers', FOREIGN, ids=str)
@pytest.mark.parametrize('address', ['/api/login', '/api/logout'])
def test_another_page_logs_nobody_in_or_out(evening, address, headers) -> None:
    """No other page logs a browser in, with whatever password, or out."""
    cookie = {'Cookie': evening.log_in()['Cookie']}
    sent = {'password': PASSWORD}
    answer = evening.client.post(address, json=sent, headers={**cookie, **headers})
    assert 403 == answer.status_code
    assert 200 == evening.client.get('/api/desk/hosts', headers=cookie).status_code


@pytest.mark.parametrize('extra', [{}, {'Origin': 'http://halfpoint.test'}])
def test_our_own_page_is_let_in(evening, extra) -> None:
    """Browsers that name the origin, and those that name nothing, work from our own page."""
    headers = {**evening.log_in(), **extra}
    headers.pop('Sec-Fetch-Site')
    sent = {'site': 'mill', 'days': 1}
    assert 201 == evening.client.post('/api/desk/hosts', json=sent, headers=headers).status_code


# --- how much ---------------------------------------------------------------------------


@pytest.fixture
def narrow(tmp_path, _password):
    """A server that takes little at once."""
    limits = Limits(body=2000, desk_body=3000, upload=4000)
    yield from serve(Settings(tasting=write_tasting(tmp_path), limits=limits), _password)


def _asks(app, path, headers, chunks):
    """Ask without a length said beforehand; give the status and how many chunks were read."""
    read = 0
    status = []

    async def receive():
        nonlocal read
        read += 1
        more = read < len(chunks)
        return {'type': 'http.request', 'body': chunks[read - 1], 'more_body': more}

    async def send(message):
        if message['type'] == 'http.response.start':
            status.append(message['status'])

    scope = {
        'type': 'http', 'asgi': {'version': '3.0'}, 'http_version': '1.1', 'method': 'POST',
        'scheme': 'http', 'path': path, 'raw_path': path.encode(), 'query_string': b'',
        'root_path': '', 'client': ('127.0.0.1', 1), 'server': ('halfpoint.test', 80),
        'headers': [(k.lower().encode(), v.encode()) for k, v in headers.items()],
    }  # fmt: skip
    asyncio.run(app(scope, receive, send))
    return status[0], read


@pytest.mark.parametrize(
    ('path', 'most'),
    [('/api/join', 2000), ('/api/login', 2000), ('/api/desk/hosts', 3000),
     ('/api/site/photos', 4000), ('/api/site/bundle', 4000)],
)  # fmt: skip
def test_too_much_is_refused_in_words(narrow: Evening, path, most) -> None:
    """A body that is said to be too long is refused before any of it is read."""
    headers = {**narrow.log_in(), **narrow.host()}
    answer = narrow.client.post(path, content=b'x' * (most + 1), headers=headers)
    assert (413, 'content-too-large') == (answer.status_code, answer.json()['code'])
    assert 'nothing of this was taken' in answer.json()['remedy']
    said = {**headers, 'Content-Length': str(most + 1), 'Content-Type': 'application/json'}
    assert (413, 0) == _asks(narrow.client.app, path, said, [b'x'] * 9)


def test_what_does_not_say_its_length_is_counted(narrow: Evening) -> None:
    """A body without a length is read no further than to the limit."""
    chunks = [b' ' * 500] * 1000
    headers = {'Content-Type': 'application/json'}
    status, read = _asks(narrow.client.app, '/api/join', headers, chunks)
    assert (413, 5) == (status, read)


@pytest.mark.parametrize(
    'path', ['/api/site/photos', '/api/site/bundle', '/api/desk/hosts', '/api/site/seats']
)
def test_nothing_is_read_of_somebody_unknown(narrow: Evening, path) -> None:
    """Who may not send anything is told so before a byte is read."""
    assert (401, 0) == _asks(narrow.client.app, path, {}, [b'x' * 100] * 10)
    taster = {**narrow.taster(), 'Content-Type': 'application/json'}
    status, read = _asks(narrow.client.app, path, taster, [b'x' * 100] * 10)
    assert (True, 0) == (status in {401, 403}, read)


@pytest.mark.parametrize('length', ['-1', 'many', '1e3', '²'])
def test_a_length_that_is_none_is_refused(narrow: Evening, length) -> None:
    """A length that is no number is refused, not believed."""
    said = {'Content-Length': length, 'Content-Type': 'application/json'}
    try:
        said['Content-Length'].encode('latin-1')
        answer = _asks(narrow.client.app, '/api/join', said, [b'{}'])
    except UnicodeEncodeError:
        pytest.fail("a header is Latin-1")
    assert 413 == answer[0]


# --- how often --------------------------------------------------------------------------


def test_counting_forgets_what_is_long_ago() -> None:
    """Within the seconds so many are let through; afterwards again."""
    now = 0.0
    counter = Counter(Rate(2, 10), clock=lambda: now)
    for _ in range(2):
        counter.check('here')
        counter.count('here')
    with pytest.raises(Refused) as refusal:
        counter.check('here')
    assert {'Retry-After': '10'} == refusal.value.headers
    counter.check('elsewhere')
    now = 10.0
    counter.check('here')


def test_counting_keeps_no_more_than_it_can() -> None:
    """However many addresses ask, what is remembered stays within bounds."""
    counter = Counter(Rate(1, 1000))
    for number in range(MOST_KEYS + 50):
        counter.check(str(number))
        counter.count(str(number))
    assert MOST_KEYS == len(counter._moments)


def test_no_log_line_holds_a_code_or_token(evening, caplog) -> None:
    """Nothing that is logged while people join and ask names a code or a token."""
    caplog.set_level(logging.DEBUG)
    code, taster = evening.code(), evening.taster()
    evening.client.get(f'/join/{code}')
    evening.client.post('/api/join', json={'code': code})
    evening.client.get('/api/sheet', headers=taster)
    evening.client.post('/api/login', json={'password': PASSWORD}, headers=OWN)
    # The client of the tests logs what it asks; the server must not.
    ours = [line for line in caplog.records if not line.name.startswith(('httpx', 'httpcore'))]
    said = '\n'.join(line.getMessage() for line in ours)
    secrets = (code, taster['Authorization'].split()[1], PASSWORD)
    assert [] == [secret for secret in secrets if secret in said]
