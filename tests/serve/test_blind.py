"""Before the reveal, nothing that a taster or host can reach says which wine is behind a code."""

from __future__ import annotations

import gzip
import io
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest
from tests.serve.conftest import HIDDEN, OWN, TestClient, another_device, write_tasting
from tests.serve.filled import body, sheet
from tests.serve.walk import OPERATIONS, PLACEHOLDER, addresses, ask, operations_of

from halfpoint.errors import InputError
from halfpoint.serve import routes
from halfpoint.serve.app import ROUTES, create_app
from halfpoint.serve.settings import Settings
from halfpoint.serve.static import BuiltApp

WHO = ('nobody', 'taster', 'host')
names = str


def found_in(answer) -> list[str]:
    """What an answer gives away: words of wines in its headers, its text, or what it packs."""
    texts = [str(answer.headers.raw), *_texts(answer.content)]
    return sorted({word for word in HIDDEN for text in texts if word in text.casefold()})


def _texts(content: bytes) -> Iterator[str]:
    yield content.decode('utf-8', 'replace')
    yield content.decode('utf-16-le', 'replace')
    if content.startswith(b'%PDF'):
        document = pypdfium2.PdfDocument(content)
        for page in document:
            yield page.get_textpage().get_text_range()
        yield str(document.get_metadata_dict())
    elif content.startswith(b'\x1f\x8b'):
        yield from _texts(gzip.decompress(content))
    elif zipfile.is_zipfile(io.BytesIO(content)):
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            for name in packed.namelist():
                yield name
                yield from _texts(packed.read(name))


@pytest.fixture(scope='module')
def people(served):
    """A tasting in which marks have come in, one of them held, and who is there."""
    taster, other = served.taster(), served.taster('quay', 1, another_device())
    codes = [
        pour['code'] for pour in served.client.get('/api/sheet', headers=taster).json()['pours']
    ]
    sent = body(sheet(codes[0], remark="lemon"), sheet(codes[1], aroma=4.3), sheet('000'))
    states = [
        answer['state']
        for answer in served.client.put('/api/sheet/entries', json=sent, headers=taster).json()[
            'answers'
        ]
    ]
    assert ['kept', 'held', 'held'] == states
    return {'nobody': OWN, 'taster': {**OWN, **taster}, 'host': {**OWN, **served.host()},
            'other': other}  # fmt: skip


@pytest.mark.parametrize('operation', OPERATIONS, ids=names)
@pytest.mark.parametrize('who', WHO)
def test_no_route_says_which_wine_it_is(served, people, operation, who) -> None:
    """No route answers a taster, a host or a stranger with a wine, whatever plausible is asked."""
    for address in addresses(operation):
        answer = ask(served.client, operation, people[who], address)
        assert (address, []) == (address, found_in(answer))
        assert answer.status_code < 500, answer.text


def test_every_route_is_walked() -> None:
    """What is not in the OpenAPI document is that document, and the files of the app."""
    app = create_app(PLACEHOLDER)
    others = {route.path for route in app.routes if hasattr(route, 'path')}
    assert {'/api/openapi.json', '/{path:path}'} == others
    assert len(OPERATIONS) > 15


def test_every_file_of_routes_is_in_the_app() -> None:
    """No file of routes is left out of the list that the app is made of."""
    there = {path.stem for path in Path(routes.__file__).parent.glob('*.py')} - {'__init__'}
    assert set() == there - set(ROUTES)


@pytest.mark.parametrize(
    'address', ['/', '/join', '/join/RKT74C', '/host', '/desk', '/api/openapi.json', '/nowhere']
)
@pytest.mark.parametrize('who', WHO)
def test_no_page_says_which_wine_it_is(served, people, address, who) -> None:
    """No page of the app, nor the document of the API, knows this tasting's wines."""
    assert [] == found_in(served.client.get(address, headers=people[who]))


def test_no_asset_says_which_wine_it_is(served, people) -> None:
    """No file of the built app knows this tasting's wines."""
    for name in BuiltApp().files:
        answer = served.client.get(f'/{name}', headers=people['taster'])
        assert (name, 200, []) == (name, answer.status_code, found_in(answer))


@pytest.mark.parametrize('name', ['tasting.toml', 'tasting.ledger', 'tasting.desk'])
@pytest.mark.parametrize('way', ['/{}', '/../{}', '/%2e%2e/{}', '/assets/..%2f{}', '/.//{}'])
def test_no_file_beside_the_tasting_is_served(served, people, name, way) -> None:
    """The files of the tasting are under no address."""
    answer = served.client.get(way.format(name), headers=people['host'])
    assert (404, []) == (answer.status_code, found_in(answer))


def test_a_broken_tasting_file_gives_nothing_away(evening) -> None:
    """When the tasting file cannot be read, what is wrong in it is for the organiser alone."""
    taster = evening.taster()
    file = evening.settings.tasting
    file.write_text(file.read_text().replace('invented = true', 'invented = "vexhollow"'))
    for operation in OPERATIONS:
        assert [] == found_in(ask(evening.client, operation, {**OWN, **taster}))


def test_a_plan_of_wines_that_are_gone_gives_nothing_away(evening) -> None:
    """When the file has lost a wine that is poured, only the organiser is told which."""
    taster, host = evening.taster(), evening.host()
    file = evening.settings.tasting
    file.write_text(file.read_text().replace('"vexhollow"', '"vexhollow-two"'))
    for person in (OWN, taster, host):
        for operation in OPERATIONS:
            told = found_in(ask(evening.client, operation, {**OWN, **person}))
            assert (str(operation), []) == (str(operation), told)
    told = evening.client.get('/api/desk/join-codes', headers=evening.log_in())
    assert ['vexhollow'] == found_in(told)


@pytest.mark.parametrize('word', ["vexhollow", "quillmere VEXHOLLOW", "2 Drumlark", "oxpiper's"])
def test_a_refusal_that_names_a_wine_is_for_the_organiser(evening, monkeypatch, word) -> None:
    """Whatever is refused, words that name a wine reach nobody but the organiser."""

    async def refuses() -> None:
        raise InputError("no such thing", expected=f"one of {word}, or nothing")

    monkeypatch.setattr(evening.house, 'seating', refuses)
    answer = evening.client.post('/api/join', json={'code': 'RKT74C'})
    assert (422, []) == (answer.status_code, found_in(answer))
    told = evening.client.get('/api/desk/join-codes', headers=evening.log_in())
    assert found_in(told)


# --- that the walk would notice ---------------------------------------------------------


def test_a_route_that_tells_would_be_noticed(tmp_path) -> None:
    """A new route that names a wine is walked, and what it gives away is found."""
    app = create_app(Settings(tasting=write_tasting(tmp_path)))

    async def leak(site: str) -> dict[str, str]:
        return {site: "Quillmere Vexhollow"}

    app.add_api_route('/api/new/{site}', leak)
    app.router.routes.insert(0, app.router.routes.pop())
    (new,) = [one for one in operations_of(app) if one.path == '/api/new/{site}']
    with TestClient(app) as client:
        answers = [ask(client, new, {}, address) for address in addresses(new)]
    assert [['quillmere', 'vexhollow']] * 2 == [found_in(answer) for answer in answers]


def test_words_in_print_are_found() -> None:
    """A wine's name in a PDF, a packed file or a header is found."""

    class Answer:
        headers = type('Headers', (), {'raw': [(b'x-note', b'Drumlark')]})
        content = gzip.compress(b'... Quillmere Vexhollow ...')

    assert ['drumlark', 'quillmere', 'vexhollow'] == found_in(Answer())
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, 'w') as made:
        made.writestr('oxpiper.csv', zlib.compress(b'x') + b'wrenfallow')
    Answer.content = packed.getvalue()
    assert ['drumlark', 'oxpiper', 'wrenfallow'] == found_in(Answer())


def test_the_organiser_is_told(served) -> None:
    """The organiser, and only the organiser, is shown the wines: the walk could find them."""
    told = [
        str(operation)
        for operation in OPERATIONS
        if operation.method == 'get'
        and operation.path.startswith('/api/desk/')
        and not operation.streams
        and found_in(ask(served.client, operation, served.log_in()))
    ]
    assert told
