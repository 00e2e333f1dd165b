"""Paper over HTTP: a real page printed, filled in, photographed, read, and decided at the desk."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from PIL import Image
from tests.serve.conftest import HIDDEN, serve, write_tasting
from tests.serve.desk.looking import decide, looks
from tests.serve.desk.paper_home import Home, come_home, hand_in

from halfpoint.ledger.records import Content, Decided
from halfpoint.serve.settings import Settings


@pytest.fixture(scope='module')
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    """One page that came home, for all tests; what is decided is about the first glass alone."""
    for evening in serve(Settings(tasting=write_tasting(tmp_path_factory.mktemp('paper')))):
        yield come_home(evening)


def _records(home: Home) -> list[Content]:
    writer = home.evening.run(home.evening.house.served).writer
    return home.evening.run(writer.do, lambda ledger, _: [r.content for r in ledger.records()])


def _marks(home: Home, place: int) -> dict[str, float] | None:
    """The marks that count of a glass, None where it is no entry."""
    code = home.filled.blocks[place - 1].code
    writer = home.evening.run(home.evening.house.served).writer
    entries = home.evening.run(writer.read, lambda state: [e.now for e in state.in_force()])
    return next((dict(entry.marks) for entry in entries if entry.code == code), None)


def _look(home: Home, place: int) -> dict[str, Any]:
    (item,) = [
        item for item in looks(home.evening, kind='paper')['items']
        if item['code'] == home.filled.blocks[place - 1].code
    ]  # fmt: skip
    return item


def _png(home: Home, address: str, **asked: str) -> Image.Image:
    answer = home.evening.client.get(address, params=asked, headers=home.evening.log_in())
    assert (200, 'image/png') == (answer.status_code, answer.headers['Content-Type'])
    return Image.open(io.BytesIO(answer.content)).convert('L')


def test_a_photograph_is_told_of(home: Home) -> None:
    """The host learns whose page it is and how many looks it needs, and of no wine's name."""
    (page,) = home.told['pages']
    assert ('read', 1, 2) == (page['status'], page['seat'], page['looks'])
    assert [] == [word for word in HIDDEN if word in str(home.told).casefold()]


def test_what_is_sure_counts_at_once(home: Home) -> None:
    """Glasses without a doubt are entries, and say what the writer meant."""
    for place in (3, 4):
        assert home.meant(place) == _marks(home, place)
    assert _marks(home, 2) is None


def test_what_is_doubtful_waits_with_its_choices(home: Home) -> None:
    """Both circles that are filled, and that none is, can be chosen with one key."""
    place, category = home.doubtful[1]
    item = _look(home, place)
    assert category == item['field']
    assert 'more than one circle' in item['question']
    values = [choice['value'] for choice in item['choices']]
    assert {0.5, 5.5, 'nothing'} <= set(values)
    assert [str(n) for n in range(1, len(values) + 1)] == [c['key'] for c in item['choices']]


def test_its_crop_shows_the_row(home: Home) -> None:
    """The crop is a strip of the photograph with the two circles dark in it."""
    item = _look(home, home.doubtful[1][0])
    crop, page = _png(home, item['crop']), _png(home, '/api/desk/crops/3/0/page.png')
    assert crop.width > 3 * crop.height
    assert page.height > page.width > crop.width / 2
    dark = np.asarray(crop) < np.median(np.asarray(crop)) - 60
    columns = np.flatnonzero(dark.mean(axis=0) > 0.25)
    runs = 1 + np.count_nonzero(np.diff(columns) > 3)
    assert runs >= 2


def test_a_crop_is_sent_once(home: Home) -> None:
    """A browser that has it already is told so, with nothing sent again."""
    address, headers = _look(home, 2)['crop'], home.evening.log_in()
    tag = home.evening.client.get(address, headers=headers).headers['ETag']
    again = home.evening.client.get(address, headers={**headers, 'If-None-Match': tag})
    assert (304, b'') == (again.status_code, again.content)


def test_what_nobody_asked_about_is_shown_on_the_whole_page(home: Home) -> None:
    """Where no place is known, as of a mark that was sure, the page is there to look at."""
    whole = _png(home, '/api/desk/crops/3/0/page.png')
    assert whole.size == _png(home, '/api/desk/crops/3/3/taste.png').size


@pytest.mark.parametrize('path', ['3/9/aroma.png', '99/1/aroma.png', '99/0/page.png',
                                  '2/0/page.png'])  # fmt: skip
def test_a_crop_of_nothing_is_refused(home: Home, path: str) -> None:
    """A glass or a page that is not there is said to be so."""
    said = home.evening.client.get(f'/api/desk/crops/{path}', headers=home.evening.log_in())
    assert 404 == said.status_code
    assert said.json()['found']


def test_a_crop_is_for_the_desk(home: Home) -> None:
    """Neither a host nor a taster sees handwriting of others."""
    for who in (home.evening.host(), home.evening.taster()):
        said = home.evening.client.get('/api/desk/crops/3/1/aroma.png', headers=who)
        assert 401 == said.status_code


def test_handed_in_again_adds_nothing(home: Home) -> None:
    """The same photograph is told as there already."""
    before = len(_records(home))
    assert ['already'] == [p['status'] for p in hand_in(home.evening, home.photograph)['pages']]
    assert before == len(_records(home))


def test_another_host_cannot_hand_it_in(home: Home) -> None:
    """A page of the mill is refused from the quay, and nothing of it is recorded there."""
    before = len(_records(home))
    (page,) = hand_in(home.evening, home.photograph + b'\0', 'quay')['pages']
    assert 'refused' == page['status']
    assert 'another site' in page['reason']
    assert before == len(_records(home))


def test_a_mark_that_cannot_be_is_refused(home: Home) -> None:
    """A typed mark off the step records nothing, and the look waits on."""
    place, _ = home.doubtful[1]
    before = len(_records(home))
    said = decide(home.evening, _look(home, place)['id'], 409, value='4.3')
    assert said['expected']
    assert before == len(_records(home))
    assert _look(home, place)


def test_decided_and_decided_anew(home: Home) -> None:
    """The glass is an entry with the mark decided; anew it is another, and both stay recorded."""
    place, category = home.doubtful[0]
    item, meant = _look(home, place), home.meant(place)
    key = next(choice['key'] for choice in item['choices'] if choice['value'] == 5.5)
    came = decide(home.evening, item['id'], choice=key, who='Mara Quill', why='the darker one')
    assert 1 == len(came['entries'])
    assert {**meant, category: 5.5} == _marks(home, place)
    assert item['id'] not in [each['id'] for each in looks(home.evening)['items']]
    assert 'decided-already' == decide(home.evening, item['id'], 409, choice=key)['code']

    decide(home.evening, item['id'], value=6, anew=True, who='Jory Fell', why='asked the taster')
    assert {**meant, category: 6.0} == _marks(home, place)
    decided = [each for each in _records(home) if isinstance(each, Decided)]
    assert [(5.5, 'the darker one'), (6.0, 'asked the taster')] == [
        (each.value, each.why) for each in decided
    ]
    told = home.evening.client.get('/api/desk/looks/decided', headers=home.evening.log_in()).json()
    (look,) = told['items']
    assert ['Mara Quill', 'Jory Fell'] == [each['who'] for each in look['decisions']]
