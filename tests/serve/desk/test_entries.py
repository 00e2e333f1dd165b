"""Finding a sheet that came in, what became of it, and correcting it."""

from __future__ import annotations

from typing import Any

import pytest
from tests.serve.conftest import HIDDEN, Evening
from tests.serve.desk.filled_desk import send
from tests.serve.desk.looking import last
from tests.serve.filled import sheet

from halfpoint.plan.model import Pour

ENTRIES = '/api/desk/entries'


@pytest.fixture
def pour(evening: Evening) -> Pour:
    """A pour of which a sheet came in; another site has sent one too."""
    here = evening.plan.pours[0]
    there = next(p for p in evening.plan.pours if p.site != here.site)
    send(evening, here, sheet(here.code, terms=['lemon'], remark="bright"))
    send(evening, there, sheet(there.code, aroma=2.0))
    return here


def _find(evening: Evening, **sought: Any) -> list[dict[str, Any]]:
    answer = evening.client.get(ENTRIES, params=sought, headers=evening.log_in())
    assert 200 == answer.status_code, answer.text
    return answer.json()['found']


def _shown(evening: Evening, number: int) -> Any:
    return evening.client.get(f'{ENTRIES}/{number}', headers=evening.log_in()).json()


def _correct(evening: Evening, status: int = 200, **wanted: Any) -> Any:
    number = _find(evening)[0]['entry']
    said = {'version': 0, 'why': 'asked', 'who': 'Mara Quill', **wanted}
    answer = evening.client.post(f'{ENTRIES}/{number}', json=said, headers=evening.log_in())
    assert status == answer.status_code, answer.text
    return answer.json()


def test_a_sheet_is_found_by_site_seat_and_code(evening: Evening, pour: Pour) -> None:
    """Each narrows the list, and none of them shows all."""
    assert 2 == len(_find(evening))
    (found,) = _find(evening, site=pour.site, seat=pour.seat, code=pour.code)
    assert (pour.site, pour.seat, pour.code) == (found['site'], found['seat'], found['code'])
    assert [found] == _find(evening, entry=found['entry'])
    assert [] == _find(evening, site=pour.site, code='000')
    assert 1 == len(_find(evening, most=1))


def test_its_marks_and_history_are_told(evening: Evening, pour: Pour) -> None:
    """From when it came: who, when and why; no wine is named before the reveal."""
    _correct(evening, changes={'aroma': '3½', 'terms': ['lemon', 'hay']}, why="two terms")
    shown = _shown(evening, _find(evening)[0]['entry'])
    assert (3.5, ['lemon', 'hay'], 'bright') == (
        shown['marks']['aroma'], shown['terms'], shown['remark'],
    )  # fmt: skip
    received, corrected = shown['story']
    assert ('received', 'phone of ansel') == (received['what'], received['why'])
    assert ('corrected', 'Mara Quill', 'two terms') == (
        corrected['what'], corrected['who'], corrected['why'],
    )  # fmt: skip
    assert [['aroma', '4½', '3½'], ['terms', 'lemon', 'hay, lemon']] == corrected['changes']
    assert [] == [word for word in HIDDEN if word in str(shown).casefold()]


def test_a_correction_is_a_new_record(evening: Evening, pour: Pour) -> None:
    """Marks, words, faults and finish are corrected; what it read before stays."""
    came = _correct(
        evening,
        changes={
            'overall': 2, 'faults': ['corked'], 'families': ['citrus'],
            'own_words': ['wet, warm slate'], 'finish_seconds': 12, 'finish_band': '',
            'remark': 'corked, alas',
        },
    )  # fmt: skip
    assert 1 == came['version']
    assert (['corked'], ['citrus'], ['wet, warm slate'], 12) == tuple(
        came[name] for name in ('faults', 'families', 'own_words', 'finish_seconds')
    )
    who, content = last(evening)[-1]
    assert ('Mara Quill', 'asked') == (who, content.why)  # type: ignore[union-attr]
    back = _correct(evening, version=1, changes={'finish_seconds': None, 'own_words': []})
    assert (None, []) == (back['finish_seconds'], back['own_words'])


@pytest.mark.parametrize(
    ('wanted', 'status', 'found'),
    [
        ({'changes': {'aroma': 4.25}}, 409, 'aroma 4¼'),
        ({'changes': {'aroma': 'good'}}, 409, "'good'"),
        ({'changes': {'aroma': None}}, 409, 'aroma nothing'),
        ({'changes': {'wine': 'drumlark'}}, 409, "'wine'"),
        ({'changes': {'terms': 'lemon'}}, 409, 'something else'),
        ({'changes': {'terms': ['petrichor']}}, 409, "terms 'petrichor'"),
        ({'changes': {'remark': 3}}, 409, 'something else'),
        ({'changes': {'code': '000'}}, 409, "'000'"),
        ({'changes': {}}, 409, 'nothing would change'),
        ({'changes': {'aroma': 4.5}}, 409, 'nothing would change'),
        ({'changes': {'aroma': 4}, 'why': ' '}, 409, 'nothing'),
        ({'changes': {'aroma': 4}, 'version': 3}, 409, 'entry 3 was changed'),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(
    evening: Evening, pour: Pour, wanted: dict[str, Any], status: int, found: str
) -> None:
    """A mark, word or code that cannot be, no reason, or an older page: nothing is recorded."""
    before = last(evening)
    assert _correct(evening, status, **wanted)['found'].startswith(found)
    assert before == last(evening)


def test_the_wine_follows_the_code(evening: Evening, pour: Pour) -> None:
    """A corrected code takes wine and place with it; the story says so without the wine."""
    other = next(
        p for p in evening.plan.pours
        if (p.site, p.seat) == (pour.site, pour.seat) and p.wine != pour.wine
    )  # fmt: skip
    came = _correct(evening, changes={'code': other.code})
    assert (other.code, other.position) == (came['entry']['code'], came['entry']['position'])
    assert 'code' in {name for name, _, _ in came['story'][-1]['changes']}
    assert [] == [word for word in HIDDEN if word in str(came).casefold()]
    _, content = last(evening)[-1]
    assert other.wine == content.entry.wine  # type: ignore[union-attr]


def test_an_entry_that_is_not_there(evening: Evening) -> None:
    """A number that no entry has is told."""
    answer = evening.client.get(f'{ENTRIES}/999', headers=evening.log_in())
    assert (404, 'not-in-ledger') == (answer.status_code, answer.json()['code'])
