"""Planning and printing at the desk."""

from __future__ import annotations

import pytest
from tests.serve.conftest import HIDDEN, Evening

from halfpoint.publish.handouts import KINDS


@pytest.fixture(autouse=True)
def quick_plans(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewer starts than usual: what is asked here is not how even a plan is."""
    monkeypatch.setattr('halfpoint.plan.pouring.MOST_STARTS', 2)


def test_plan_is_made_and_recorded(unplanned: Evening) -> None:
    """Nothing is planned at first; a plan made here is in the record with who made it."""
    headers = unplanned.log_in()
    assert unplanned.client.get('/api/desk/plan', headers=headers).json() is None
    said = unplanned.client.post(
        '/api/desk/plan', json={'seed': 3, 'who': 'Mara Quill'}, headers=headers
    )
    assert 200 == said.status_code, said.text
    shown = said.json()
    assert (True, 7, 3) == (shown['new'], shown['tasters'], shown['seed'])
    assert {'mill': 4, 'quay': 3} == {site['key']: site['seats'] for site in shown['sites']}
    again = unplanned.client.get('/api/desk/plan', headers=headers).json()
    assert {**shown, 'new': False} == again
    last = unplanned.run(unplanned.house.served).writer
    who = unplanned.run(last.do, lambda ledger, _: list(ledger.records())[-1].who)
    assert 'Mara Quill' == who


def test_same_plan_is_not_recorded_twice(evening: Evening) -> None:
    """Bringing an unchanged plan up to date records nothing."""
    said = evening.client.post('/api/desk/plan', json={}, headers=evening.log_in()).json()
    assert said['new'] is False


def test_wines_behind_codes(evening: Evening) -> None:
    """The organiser alone sees which wine is behind each code."""
    rows = evening.client.get('/api/desk/wines', headers=evening.log_in()).json()
    planned = {(pour.site, pour.code): pour.wine for pour in evening.plan.pours}
    assert planned == {(row['site'], row['code']): row['wine'] for row in rows}
    refused = evening.client.get('/api/desk/wines', headers=evening.host())
    assert 401 == refused.status_code
    assert not any(word in refused.text.lower() for word in HIDDEN)


@pytest.mark.parametrize('kind', KINDS)
def test_every_paper_is_a_pdf(evening: Evening, kind: str) -> None:
    """Every kind on the list can be had, for all sites and for one."""
    headers = evening.log_in()
    known = evening.client.get('/api/desk/papers', headers=headers).json()
    assert kind in {each['kind'] for each in known}
    for site in ('', 'mill'):
        said = evening.client.get(
            f'/api/desk/papers/{kind}.pdf', params={'site': site}, headers=headers
        )
        assert 200 == said.status_code, said.text
        assert said.content.startswith(b'%PDF')


def test_score_sheets_are_a_pdf(evening: Evening) -> None:
    """Score sheets of a site, with spares."""
    said = evening.client.get(
        '/api/desk/sheets.pdf', params={'site': 'quay', 'blanks': 2}, headers=evening.log_in()
    )
    assert 200 == said.status_code, said.text
    assert said.content.startswith(b'%PDF')


@pytest.mark.parametrize('address', ['papers/nothing.pdf', 'papers/run-sheet.pdf?site=moon'])
def test_unknown_paper_is_refused(evening: Evening, address: str) -> None:
    """A kind or site that is not there is refused in words."""
    said = evening.client.get(f'/api/desk/{address}', headers=evening.log_in())
    assert 404 == said.status_code
    assert said.json()['expected']
