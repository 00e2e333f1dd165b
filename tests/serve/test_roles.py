"""Who may ask what: no credentials, the wrong ones, and what is somebody else's."""

from __future__ import annotations

import pytest
from tests.serve.conftest import DEVICE, OWN, another_device
from tests.serve.filled import body, sheet
from tests.serve.walk import OPERATIONS, area_of, ask

GUARDED = [operation for operation in OPERATIONS if area_of(operation)]
OUT = {'who-are-you', 'not-yours'}
names = str


@pytest.fixture
def known(served):
    """Somebody of each kind."""
    return {'desk': served.log_in(), 'site': served.host(), 'sheet': served.taster()}


@pytest.mark.parametrize('operation', GUARDED, ids=names)
def test_nobody_gets_in_without_credentials(served, operation) -> None:
    """Without cookie or token, every guarded route says who it is for, and nothing else."""
    answer = ask(served.client, operation, OWN)
    assert (401, 'who-are-you') == (answer.status_code, answer.json()['code'])
    assert 'Bearer' == answer.headers['www-authenticate']


@pytest.mark.parametrize('operation', GUARDED, ids=names)
@pytest.mark.parametrize('other', ['desk', 'site', 'sheet'])
def test_nobody_gets_into_the_place_of_another(served, known, operation, other) -> None:
    """Host, taster and organiser get into no route of one another."""
    if operation.streams and area_of(operation) == other:
        # Its answer has no end; test_for_real listens to it.
        return
    answer = ask(served.client, operation, {**OWN, **known[other]})
    kept_out = answer.status_code in {401, 403} and answer.json()['code'] in OUT
    assert (area_of(operation) != other) == kept_out


@pytest.mark.parametrize(
    'shown',
    ['Bearer', 'Bearer ', 'Bearer nothing', 'Basic nothing', 'bearer ½', 'Bearer ' + 'x' * 5000],
)
def test_a_made_up_token_opens_nothing(evening, shown) -> None:
    """What is no token of ours is as good as none."""
    headers = {b'Authorization': shown.encode('latin-1')}
    for address in ('/api/sheet', '/api/site'):
        assert 401 == evening.client.get(address, headers=headers).status_code


def test_a_host_reads_no_other_site(evening) -> None:
    """Everything that a host is shown is of the own site."""
    quay = evening.taster('quay', 2, another_device())
    code = evening.client.get('/api/sheet', headers=quay).json()['pours'][0]['code']
    assert code not in {pour.code for pour in evening.plan.pours if pour.site == 'mill'}
    host = evening.host('mill')
    for address in ('/api/site', '/api/site/run-sheet', '/api/site/bundle'):
        answer = evening.client.get(address, headers=host)
        assert 200 == answer.status_code
        assert 'quay' not in answer.text
        assert code not in answer.text


def test_a_taster_reads_no_other_taster(evening) -> None:
    """What another taster has sent is on no sheet but that taster's own."""
    first, second = evening.taster(seat=1), evening.taster(seat=2, device=another_device())
    code = evening.client.get('/api/sheet', headers=first).json()['pours'][0]['code']
    remark = "a remark of one's own"
    sent = body(sheet(code, remark=remark))
    kept = evening.client.put('/api/sheet/entries', json=sent, headers=first)
    assert ['kept'] == [answer['state'] for answer in kept.json()['answers']]
    assert remark in evening.client.get('/api/sheet', headers=first).text
    assert remark not in evening.client.get('/api/sheet', headers=second).text


def test_a_taster_sends_for_no_other_seat(evening) -> None:
    """A token is for one seat; what it sends is recorded for that seat, whatever else it says."""
    headers = evening.taster(seat=2, device=DEVICE)
    code = evening.client.get('/api/sheet', headers=headers).json()['pours'][0]['code']
    sent = {**body(sheet(code)), 'seat': 1, 'taster': 'ansel'}
    evening.client.put('/api/sheet/entries', json=sent, headers=headers)
    site = evening.client.get('/api/site', headers=evening.host()).json()
    (table,) = site['tables']
    assert [0, 1, 0, 0] == [seat['sent'] for seat in table['seats']]
