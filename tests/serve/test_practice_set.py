"""Practice sets: after the reveal, without tasters, from the desk and for phones."""

from __future__ import annotations

import json

import pytest
from tests.serve.conftest import HIDDEN, Evening
from tests.serve.desk.filled_desk import fill

from halfpoint.ledger.changes import reveal
from halfpoint.sheet.load import load_sheet
from halfpoint.teach.practice_set import is_set, set_in

DESK, PHONE = '/api/desk/files/practice-set.json', '/api/sheet/practice'


@pytest.fixture
def filled(evening: Evening) -> Evening:
    """Every pour has its sheet."""
    fill(evening)
    return evening


async def _reveal(evening: Evening) -> None:
    served = await evening.house.served()
    await served.writer.do(lambda ledger, state: reveal(ledger, who='organiser'))


def test_before_the_reveal_there_is_none(filled: Evening) -> None:
    """It names the wines, so neither the desk nor a phone gets it, and no name is let slip."""
    for path, headers in ((DESK, filled.log_in()), (PHONE, filled.taster())):
        answer = filled.client.get(path, headers=headers)
        assert (403, 'not-revealed') == (answer.status_code, answer.json()['code'])
        assert [] == [word for word in HIDDEN if word in answer.text.casefold()]


def test_after_the_reveal_it_holds_the_wines_and_nobody(filled: Evening) -> None:
    """Both get the same set: wines by name on the tasting's sheet, and no taster or room."""
    filled.run(_reveal, filled)
    desk = filled.client.get(DESK, headers=filled.log_in())
    phone = filled.client.get(PHONE, headers=filled.taster())
    assert (200, 200) == (desk.status_code, phone.status_code), desk.text
    assert desk.json() == phone.json()
    assert 'practice-set.json' in desk.headers['Content-Disposition']
    read = json.loads(phone.content)
    assert is_set(read)
    made = set_in(read, 'here')
    assert load_sheet('twenty-point') == made.sheet
    names = {wine.name for wine in filled.tasting.wines}
    assert names == set(made.reference.wines)
    assert [] == [site for site in ('mill', 'quay') if site in phone.text.casefold()]


def test_nobody_else_gets_it(filled: Evening) -> None:
    """Without a seat or a login it is refused."""
    filled.run(_reveal, filled)
    assert 401 == filled.client.get(PHONE).status_code
    assert filled.client.get(DESK).status_code in {401, 403}
