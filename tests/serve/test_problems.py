"""Every refusal is JSON that says what was found, where, what was expected and what to do."""

from __future__ import annotations

import logging

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint import errors
from halfpoint.serve.problems import MEDIA_TYPE, code_of, problem_response, status_of

ALL = [
    refusal
    for refusal in vars(errors).values()
    if isinstance(refusal, type) and issubclass(refusal, errors.HalfpointError)
]
FIELDS = {'found', 'where', 'expected', 'remedy', 'code'}


@pytest.mark.parametrize('kind', ALL, ids=lambda kind: kind.__name__)
def test_every_refusal_has_a_status_and_a_code(kind) -> None:
    """Each class of refusal has an HTTP status for refusals, and a code of its own."""
    refusal = kind("something")
    assert 400 <= status_of(refusal) < 600
    assert {code_of(refusal)} == {code_of(kind("else"))}
    assert len(ALL) == len({code_of(one("x")) for one in ALL})


def test_statuses_say_whose_turn_it_is() -> None:
    """What may be tried again, what is not there, and what no disk has room for are told apart."""
    assert [503, 404, 507, 422, 409] == [
        status_of(kind("x"))
        for kind in (
            errors.LedgerBusy, errors.NotInLedger, errors.DiskFull, errors.SheetError,
            errors.TooFewMarks,
        )
    ]  # fmt: skip


@given(st.text(alphabet=st.characters(), max_size=60))
def test_anything_can_be_told(text: str) -> None:
    """Whatever was found, halves of characters included, the answer is JSON in UTF-8."""
    answer = problem_response(400, 'x', text, where=text)
    assert MEDIA_TYPE == answer.media_type
    answer.body.decode('utf-8')


def test_a_long_find_is_cut() -> None:
    """Ten megabytes that were sent are not sent back."""
    assert len(problem_response(400, 'x', 'y' * 10**7).body) < 5000


@pytest.mark.parametrize(
    ('method', 'address', 'status'),
    [('get', '/api/nowhere', 404), ('delete', '/api/hello', 405), ('post', '/nowhere', 405)],
)
def test_wrong_addresses_are_told_of(served, method, address, status) -> None:
    """An address or method that is not there is a problem like any other."""
    answer = getattr(served.client, method)(address)
    assert (status, MEDIA_TYPE) == (answer.status_code, answer.headers['content-type'])
    assert FIELDS == answer.json().keys()


@pytest.mark.parametrize(
    'body',
    [b'', b'{', b'[]', b'{"code": 7}', b'{"code": "\\ud800"}', b'\xff\xfe', b'[' * 100_000,
     b'{"code": NaN}', b'null'],
    ids=repr,
)  # fmt: skip
def test_junk_is_told_of(served, body) -> None:
    """A body that is nothing we know is refused in words, and never breaks the server."""
    headers = {'Content-Type': 'application/json'}
    answer = served.client.post('/api/join', content=body, headers=headers)
    assert answer.status_code in {400, 404, 422}
    assert MEDIA_TYPE == answer.headers['content-type']
    assert FIELDS == answer.json().keys()


def test_a_mishap_gives_nothing_away(evening, monkeypatch, caplog) -> None:
    """What nobody foresaw is logged, with the route and not the address, and told without why."""

    def fails(*_: object) -> None:
        raise RuntimeError('the wine is vexhollow')

    monkeypatch.setattr(evening.house.counters.wrong_codes, 'check', fails)
    with caplog.at_level(logging.ERROR):
        answer = evening.client.post('/api/join?secret=RKT74C', json={'code': 'RKT74C'})
    assert (500, 'mishap') == (answer.status_code, answer.json()['code'])
    assert 'vexhollow' not in answer.text
    assert "default-src 'none'" in answer.headers['content-security-policy']
    assert ['a mishap: POST /api/join'] == [
        line.getMessage() for line in caplog.records if line.name == 'halfpoint'
    ]


def test_the_record_being_busy_is_told(evening, monkeypatch) -> None:
    """When the record is locked for long, whoever asks is told to try again, and when."""

    async def busy(*_: object) -> None:
        raise errors.LedgerBusy("locked", where='/srv/secret/tasting.ledger')

    monkeypatch.setattr(evening.house, 'seating', busy)
    answer = evening.client.post('/api/join', json={'code': 'RKT74C'})
    assert (503, '1') == (answer.status_code, answer.headers['retry-after'])
    assert 'secret' not in answer.text


def test_the_organiser_is_told_which_file(evening) -> None:
    """What is wrong in the tasting file is told the organiser, without the machine's folders."""
    evening.settings.tasting.write_text('[tasting]\nkey = 7\n')
    answer = evening.client.get('/api/desk/join-codes', headers=evening.log_in())
    assert 422 == answer.status_code
    assert 'tasting.toml' in answer.json()['where']
    assert str(evening.settings.folder) not in answer.text
