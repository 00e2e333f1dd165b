"""Links for hosts, and the codes of tables and seats."""

from __future__ import annotations

import io
from datetime import timedelta

import pytest

from halfpoint.publish.handouts.join_code import join_codes


def _make(evening, **wanted):
    sent = {'site': 'mill', 'days': 3, **wanted}
    return evening.client.post('/api/desk/hosts', json=sent, headers=evening.log_in())


def test_a_link_opens_its_site(evening) -> None:
    """The token of a new link stands behind the #, and opens the page of that site."""
    told = _make(evening).json()
    base, _, token = told['link'].partition('#')
    assert 'http://halfpoint.test/host' == base
    headers = {'Authorization': f'Bearer {token}'}
    assert 'mill' == evening.client.get('/api/site', headers=headers).json()['site']['key']


def test_links_are_listed_without_what_opens_them(evening) -> None:
    """The list has site and days of every link, and no token."""
    token = _make(evening).json()['link'].partition('#')[2]
    answer = evening.client.get('/api/desk/hosts', headers=evening.log_in())
    assert [('mill', True)] == [(link['site'], link['holds']) for link in answer.json()]
    assert token not in answer.text


def test_a_link_taken_back_opens_nothing(evening) -> None:
    """After a link was taken back, its host is told so, and what to do."""
    headers = evening.host()
    number = evening.house.desk.hosts()[0].id
    assert 200 == evening.client.get('/api/site', headers=headers).status_code
    gone = evening.client.delete(f'/api/desk/hosts/{number}', headers=evening.log_in())
    assert 204 == gone.status_code
    answer = evening.client.get('/api/site', headers=headers)
    assert (401, "this link was taken back") == (answer.status_code, answer.json()['found'])
    assert 'new link' in answer.json()['remedy']


def test_a_link_runs_out(evening) -> None:
    """A link whose days are over says so."""
    _, token = evening.house.desk.add_host('mill', timedelta(seconds=-1))
    answer = evening.client.get('/api/site', headers={'Authorization': f'Bearer {token}'})
    assert (401, "this link has run out") == (answer.status_code, answer.json()['found'])


@pytest.mark.parametrize(
    ('wanted', 'status'),
    [({'site': 'moon'}, 404), ({'days': 0}, 422), ({'days': 401}, 422), ({'site': None}, 422)],
)
def test_a_link_that_cannot_be_made(evening, wanted, status) -> None:
    """No link is made for a site that is not there, or for days that are no days."""
    assert status == _make(evening, **wanted).status_code
    assert [] == evening.house.desk.hosts()


@pytest.mark.parametrize('number', [7, -1, 10**40])
def test_taking_back_what_is_not_there(evening, number) -> None:
    """A link that was never made cannot be taken back."""
    answer = evening.client.delete(f'/api/desk/hosts/{number}', headers=evening.log_in())
    assert 404 == answer.status_code


def test_codes_are_those_on_the_cards(evening) -> None:
    """The codes of the tables are those that the printed cards have, with a square pattern."""
    answer = evening.client.get('/api/desk/join-codes', headers=evening.log_in()).json()
    printed = join_codes('mossgate', [('mill', 1), ('quay', 1)])
    assert {place: one.code for place, one in printed.items()} == {
        (one['site'], one['table']): one['code'] for one in answer
    }


def test_the_square_pattern_says_the_address() -> None:
    """A phone's camera reads the address to join from the square pattern."""
    # Read back by ZXing, a library of its own.
    import segno
    import zxingcpp
    from PIL import Image

    from halfpoint.serve.routes.desk_hosts import _code

    made = _code('http://halfpoint.test', 'mill', 1, None, 'RKT74C')
    assert made.svg.startswith('<svg')
    assert 'style=' not in made.svg
    drawn = io.BytesIO()
    segno.make(made.url, micro=False).save(drawn, kind='png', scale=8, border=4)
    (read,) = zxingcpp.read_barcodes(Image.open(drawn))
    assert 'http://halfpoint.test/join/RKT74C' == read.text


def test_seats_have_codes_when_asked_for(evening) -> None:
    """With `seats`, every seat of the site has a code as well."""
    address = '/api/desk/join-codes?seats=true&site=quay'
    answer = evening.client.get(address, headers=evening.log_in()).json()
    assert [None, 1, 2, 3] == [one['seat'] for one in answer]
    assert 4 == len({one['code'] for one in answer})
