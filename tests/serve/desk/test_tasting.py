"""Making and editing the tasting at the desk."""

from __future__ import annotations

import tomllib
from typing import Any

from tests.serve.conftest import TASTING, Evening
from tests.serve.filled import body, sheet

TASTING_URL = '/api/desk/tasting'


def _get(evening: Evening) -> dict[str, Any]:
    answer = evening.client.get(TASTING_URL, headers=evening.log_in())
    assert 200 == answer.status_code
    return answer.json()


def _put(evening: Evening, status: int = 200, **said: Any) -> dict[str, Any]:
    answer = evening.client.put(TASTING_URL, json=said, headers=evening.log_in())
    assert status == answer.status_code, answer.text
    return answer.json()


def _send_one(evening: Evening) -> None:
    code = evening.plan.pours[0].code
    seat = next(p for p in evening.plan.pours if p.code == code)
    answer = evening.client.put(
        '/api/sheet/entries', json=body(sheet(code)), headers=evening.taster(seat.site, seat.seat)
    )
    assert 'kept' == answer.json()['answers'][0]['state'], answer.text


def test_file_and_form_are_the_same_thing(evening: Evening) -> None:
    """The form is what the TOML says, and the digest names this edition."""
    found = _get(evening)
    assert TASTING == found['text']
    assert tomllib.loads(TASTING) == found['form']
    assert [] == found['problems']


def test_text_is_kept_with_its_comments(evening: Evening) -> None:
    """Editing the text keeps every comment, and the server works with the new file at once."""
    before = _get(evening)
    text = before['text'].replace('(invented)', '(invented again)') + '\n# a comment\n'
    _put(evening, text=text, base=before['digest'])
    assert text == _get(evening)['text']
    title = evening.client.get('/api/hello').json()['tasting']['title']
    assert 'Mossgate evening (invented again)' == title


def test_form_writes_clean_toml(evening: Evening) -> None:
    """A written form reads back as the same form."""
    before = _get(evening)
    form = before['form']
    form['tasting']['opens'] = '2031-05-02'
    form['wine'][0]['price'] = 12.5
    form['plan'] = {'second_pours': ['vexhollow'], 'assumed': {'taster': 1.5}}
    _put(evening, form=form, base=before['digest'])
    after = _get(evening)
    assert form == after['form']
    assert 'opens = 2031-05-02' in after['text']


def test_lost_edit_is_refused(evening: Evening) -> None:
    """Who edited an older edition is told so, and nothing is overwritten."""
    before = _get(evening)
    _put(evening, text=f'{before["text"]}# one\n', base=before['digest'])
    said = _put(evening, 409, text=f'{before["text"]}# two\n', base=before['digest'])
    assert 'changed-meanwhile' == said['code']
    assert _get(evening)['text'].endswith('# one\n')


def test_wrong_file_is_not_kept(evening: Evening) -> None:
    """What is wrong is told with its place, and the file stays."""
    before = _get(evening)
    text = before['text'].replace('seats = 4', 'seats = "four"')
    said = _put(evening, 422, text=text, base=before['digest'])
    assert "site 1 'mill', key seats" == said['where']
    assert before == _get(evening)


def test_check_keeps_nothing(evening: Evening) -> None:
    """Looking over tells every problem and writes nothing."""
    text = TASTING.replace('seats = 4', 'seats = "four"').replace('seats = 3', 'seats = 0')
    answer = evening.client.post(
        f'{TASTING_URL}/check', json={'text': text}, headers=evening.log_in()
    )
    assert 2 == len(answer.json()['problems'])
    assert TASTING == _get(evening)['text']


def test_begin_from_nothing(empty: Evening) -> None:
    """Without a file the desk offers an empty form, and the first writing begins the tasting."""
    assert {'text': '', 'form': {}, 'digest': '', 'problems': []} == _get(empty)
    form = {
        'tasting': {'key': 'fenlow', 'title': 'Fenlow (invented)', 'invented': True},
        'wine': [{'key': 'a', 'name': 'Marlgate'}, {'key': 'b', 'name': 'Ostrey'}],
    }
    _put(empty, form=form, base='')
    assert 'Fenlow (invented)' == empty.client.get('/api/hello').json()['tasting']['title']


def test_wine_with_entries_stays(evening: Evening) -> None:
    """A wine that entries are about cannot be taken out; the refusal says which."""
    _send_one(evening)
    wine = evening.plan.pours[0].wine
    before = _get(evening)
    form = dict(before['form'])
    form['wine'] = [each for each in form['wine'] if each['key'] != wine]
    said = _put(evening, 409, form=form, base=before['digest'])
    assert f"wine {wine} is gone, and 1 recorded entries are about it" == said['found']
    assert before == _get(evening)


def test_tasting_is_for_the_organiser(evening: Evening) -> None:
    """The tasting file names wines, so tasters and hosts do not get it."""
    assert 401 == evening.client.get(TASTING_URL).status_code
    assert 401 == evening.client.get(TASTING_URL, headers=evening.host()).status_code


def test_own_sheet_is_kept_beside(evening: Evening) -> None:
    """A built-in sheet is the start of one's own, which the tasting file can name."""
    headers = evening.log_in()
    offered = evening.client.get('/api/desk/sheets', headers=headers).json()
    assert 'twenty-point' in [each['name'] for each in offered]
    text = next(each['text'] for each in offered if each['name'] == 'liking')
    said = evening.client.put(
        '/api/desk/sheet', json={'name': 'ours.toml', 'text': text, 'base': ''}, headers=headers
    )
    assert 200 == said.status_code, said.text
    before = _get(evening)
    form = before['form']
    form['tasting']['sheet'] = 'ours.toml'
    _put(evening, form=form, base=before['digest'])
    now = evening.client.get('/api/desk/sheet', headers=headers).json()
    assert ('ours.toml', True, text) == (now['name'], now['own'], now['text'])
