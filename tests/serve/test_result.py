"""After the reveal: the own marks beside the group's; before it, nothing."""

from __future__ import annotations

from typing import Any

import pytest
from tests.serve.conftest import HIDDEN, Evening
from tests.serve.filled import body, sheet

from halfpoint.ledger.changes import reveal

PATH = '/api/sheet/result'
# How far each wine is marked above 3 in aroma, and each seat below the others.
BETTER = {'vexhollow': 0.0, 'drumlark': 0.5, 'oxpiper': 1.0, 'wrenfallow': 2.0}
SEATS = {
    ('mill', 1): 0.0, ('mill', 2): 0.5, ('mill', 3): 1.0, ('quay', 1): 0.0, ('quay', 2): 1.0,
    ('quay', 3): 0.5,
}  # fmt: skip
# Seats that marked one wine half a point off: differences without any chance have no intervals.
OFF = {('mill', 1, 'oxpiper'): 0.5, ('quay', 2, 'drumlark'): -0.5, ('quay', 3, 'oxpiper'): -0.5}


@pytest.fixture
def marked(evening: Evening) -> Evening:
    """Six seats have marked all four wines, nearly by the same differences."""
    for (site, seat), severe in SEATS.items():
        pours = evening.seating.plan.by_seat[site, seat]
        terms = {'wrenfallow': ['lemon'] if seat < 3 else ['vanilla'], 'drumlark': ['plum']}
        sheets = [
            sheet(
                p.code,
                aroma=3 + BETTER[p.wine] - severe + OFF.get((site, seat, p.wine), 0.0),
                terms=terms.get(p.wine, []),
            )
            for p in pours
        ]
        answer = evening.client.put(
            '/api/sheet/entries', json=body(*sheets), headers=evening.taster(site, seat)
        )
        assert {'kept'} == {each['state'] for each in answer.json()['answers']}
    return evening


async def _reveal(evening: Evening) -> None:
    served = await evening.house.served()
    await served.writer.do(lambda ledger, state: reveal(ledger, who='organiser'))


def wines_of(evening: Evening, seat: int = 2) -> dict[str, Any]:
    answer = evening.client.get(PATH, headers=evening.taster(seat=seat))
    assert 200 == answer.status_code, answer.text
    return {wine['wine'].split()[1].casefold(): wine for wine in answer.json()['wines']}


def test_before_the_reveal_it_is_refused(marked: Evening) -> None:
    """In words, and without a wine's name."""
    answer = marked.client.get(PATH, headers=marked.taster())
    assert (403, 'not-revealed') == (answer.status_code, answer.json()['code'])
    assert [] == [word for word in HIDDEN if word in answer.text.casefold()]


def test_after_the_reveal_own_marks_stand_beside_the_groups(marked: Evening) -> None:
    """The group's scores differ by what the wines do, whatever the severity of who marked."""
    marked.run(_reveal, marked)
    wines = wines_of(marked)
    assert set(BETTER) == set(wines)
    assert {key: 2.5 + better for key, better in BETTER.items()} == {
        key: wine['own']['marks']['aroma'] for key, wine in wines.items()
    }
    scores = {key: wine['group']['aroma'] for key, wine in wines.items()}
    base = scores['vexhollow']['estimate']
    found = {key: score['estimate'] - base for key, score in scores.items()}
    # By hand: every seat marked every wine, so the differences are those of the plain means.
    assert pytest.approx({**BETTER, 'drumlark': 0.5 - 0.5 / 6}, abs=0.1) == found
    assert all(score['low'] < score['estimate'] < score['high'] for score in scores.values())
    assert {6} == {wine['tasters'] for wine in wines.values()}


def test_terms_are_shared_or_missed(marked: Evening) -> None:
    """What others ticked too, and what others ticked alone; what one person ticked is neither."""
    marked.run(_reveal, marked)
    wines = wines_of(marked)
    wren = wines['wrenfallow']
    assert (["lemon"], ["vanilla"]) == (wren['terms_shared'], wren['terms_missed'])
    assert ["plum"] == wines['drumlark']['terms_shared']
    assert [] == wines['oxpiper']['terms_shared']


def test_a_seat_without_marks_gets_the_groups(marked: Evening) -> None:
    """Nothing of one's own is no error."""
    marked.run(_reveal, marked)
    answer = marked.client.get(PATH, headers=marked.taster('mill', 4)).json()
    assert [None] * 4 == [wine['own'] for wine in answer['wines']]


def test_too_few_marks_are_told_in_words(evening: Evening) -> None:
    """Without enough marks for an estimate the own marks are there, and a note says why."""
    pours = evening.seating.plan.by_seat['mill', 1]
    asked = body(sheet(pours[0].code))
    evening.client.put('/api/sheet/entries', json=asked, headers=evening.taster())
    evening.run(_reveal, evening)
    answer = evening.client.get(PATH, headers=evening.taster()).json()
    assert answer['note'].startswith("There are no scores of the group: ")
    assert 15.0 == answer['wines'][0]['own']['total']
    assert {} == answer['wines'][0]['group']


def test_a_wine_with_few_marks_has_no_figures(evening: Evening) -> None:
    """Four of six marked a wine: neither scores nor terms are told of it, and a note says so."""
    for place, (site, seat) in enumerate(SEATS):
        pours = evening.seating.plan.by_seat[site, seat]
        marked = [p for p in pours if p.wine != 'wrenfallow' or place < 4]
        sheets = [
            sheet(p.code, aroma=3 + BETTER[p.wine] - (place + p.position) % 3 / 2, terms=['plum'])
            for p in marked
        ]
        evening.client.put(
            '/api/sheet/entries', json=body(*sheets), headers=evening.taster(site, seat)
        )
    evening.run(_reveal, evening)
    answer = evening.client.get(PATH, headers=evening.taster()).json()
    wines = {wine['wine'].split()[1].casefold(): wine for wine in answer['wines']}
    few, enough = wines['wrenfallow'], wines['vexhollow']
    assert ({}, [], 4) == (few['group'], few['terms_shared'], few['tasters'])
    assert few['own'] is not None
    assert (6, ["plum"]) == (enough['tasters'], enough['terms_shared'])
    assert enough['group']['total']['estimate'] is not None
    said = f"Fewer than 5 marks, so figures are left out: {few['wine']}."
    assert said == answer['note']


def test_after_the_reveal_a_sheet_is_held(marked: Evening) -> None:
    """Whoever has read the names marks no longer; what was not sent in time waits."""
    marked.run(_reveal, marked)
    code = marked.seating.plan.by_seat['mill', 4][0].code
    answer = marked.client.put(
        '/api/sheet/entries', json=body(sheet(code)), headers=marked.taster('mill', 4)
    )
    (said,) = answer.json()['answers']
    assert ('held', 'sent') == (said['state'], said['problems'][0]['field'])
