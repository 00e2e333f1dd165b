"""Results, charts, setting aside and files at the desk."""

from __future__ import annotations

import asyncio
import csv
import io
import json
import sqlite3
import time
import zipfile
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from tests.serve.conftest import Evening
from tests.serve.desk.filled_desk import fill, send
from tests.serve.filled import sheet

from halfpoint.ledger.changes import correct
from halfpoint.ledger.ledger import Ledger
from halfpoint.publish.charts.of_result import CHARTS
from halfpoint.publish.export import to_json
from halfpoint.publish.whole_result import Depth
from halfpoint.publish.withheld import withhold
from halfpoint.serve.desk import results
from halfpoint.serve.desk.desk import Desk
from halfpoint.serve.desk.results import BY_MARK, PARTS
from halfpoint.serve.desk.weighing import IN_DOCUMENT, weigh_record

DESK = '/api/desk'


@pytest.fixture(autouse=True)
def no_hurry(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a busy machine too, an answer waits for its scores; the rest does not wait for quiet."""
    monkeypatch.setattr(results, 'PATIENCE', 60.0)
    monkeypatch.setattr(results, 'QUIET', 0.0)


@pytest.fixture
def filled(evening: Evening) -> Evening:
    """Every pour has its sheet."""
    fill(evening)
    return evening


def test_nothing_to_weigh_is_said(evening: Evening) -> None:
    """Before the first sheet there is no result, and the refusal says so."""
    said = evening.client.get(f'{DESK}/results', headers=evening.log_in())
    assert 404 == said.status_code
    assert 'no sheet was gathered yet' == said.json()['found']


def test_results_and_what_is_made_of_them(filled: Evening) -> None:
    """Findings are those of the command, and charts, tables and report come of them."""
    headers = filled.log_in()
    said = filled.client.get(f'{DESK}/results', headers=headers)
    assert 200 == said.status_code, said.text
    assert said.json()['stale'] is False
    assert said.json()['sentence']
    document = filled.client.get(f'{DESK}/files/result.json', headers=headers).json()
    found = weigh_record(filled.tasting, whole=True).findings
    assert json.loads(to_json(withhold(found, Depth().least))) == document
    tag = filled.client.get(f'{DESK}/results', headers=headers).headers['ETag']
    again = filled.client.get(f'{DESK}/results', headers={**headers, 'If-None-Match': tag})
    assert 304 == again.status_code
    fewer = filled.client.get(
        f'{DESK}/results?tasters=false', headers={**headers, 'If-None-Match': tag}
    )
    # On the desk nothing is withheld from whoever leads the tasting.
    assert {**json.loads(to_json(found)), 'tasters': []} == fewer.json()['findings']
    for name in CHARTS:
        for theme in ('light', 'dark'):
            chart = filled.client.get(
                f'{DESK}/charts/{name}.svg', params={'theme': theme}, headers=headers
            )
            assert chart.status_code in {200, 204}
            if chart.status_code == 200:
                assert ('#1d2a2e' in chart.text) is (theme == 'light')
    tables = filled.client.get(f'{DESK}/files/csv.zip', headers=headers)
    with zipfile.ZipFile(io.BytesIO(tables.content)) as archive:
        assert 'wines.csv' in archive.namelist()
    report = filled.client.get(f'{DESK}/files/report.pdf', headers=headers)
    assert report.content.startswith(b'%PDF')


def test_results_are_worked_out_in_a_process(filled: Evening) -> None:
    """The server itself works nothing out: another process reads the record and answers."""
    headers = filled.log_in()
    said = filled.client.get(f'{DESK}/results', headers=headers)
    assert 200 == said.status_code, said.text
    wines = said.json()['findings']['wines']
    assert len(filled.tasting.wines) == len(wines)


def _settled(evening: Evening, headers: dict[str, str]) -> dict[str, Any]:
    """The result once nothing of it is being weighed again."""
    until = time.monotonic() + 60
    while True:
        said = evening.client.get(f'{DESK}/results', headers=headers).json()
        if not said['again']:
            return said
        assert time.monotonic() < until
        time.sleep(0.05)


def test_what_is_asked_for_during_a_pause_follows() -> None:
    """A sheet that comes in the pause after a whole result is in the next, unasked."""

    class Beside:
        async def run(self, _work: Any, tasting: Any, *, whole: bool) -> Any:
            assert whole
            return SimpleNamespace(version=tasting.version, seconds=0.01)

    async def evening() -> list[int]:
        told: list[int] = []

        async def done(weighed: Any) -> None:
            told.append(weighed.version)

        worker: Any = results._Worker(Beside(), whole=True, done=done)
        served: Any = SimpleNamespace(
            tasting=SimpleNamespace(version=16), writer=SimpleNamespace(version=16)
        )
        task = worker.ask(served)
        while not told:
            await asyncio.sleep(0)
        served.tasting.version = served.writer.version = 17
        assert worker.ask(served) is task
        await task
        return told

    assert [16, 17] == asyncio.run(evening())


def test_everything_is_worked_out_in_a_quiet_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    """A second result waits until no more comes in, but not for ever; the first does not wait."""
    monkeypatch.setattr(results, 'QUIET', 0.05)
    monkeypatch.setattr(results, 'LONGEST_UNQUIET', 0.4)
    done: list[int] = []

    class Beside:
        async def run(self, _work: Any, tasting: Any, *, whole: bool) -> Any:
            return SimpleNamespace(version=tasting.version, seconds=0.0)

    async def finished(weighed: Any) -> None:
        done.append(weighed.version)

    async def evening(*, last: int) -> list[int]:
        done.clear()
        worker: Any = results._Worker(Beside(), whole=True, done=finished)
        at = SimpleNamespace(version=1)
        served: Any = SimpleNamespace(tasting=at, writer=at)
        await worker.ask(served)
        while at.version < last:
            at.version += 1
            worker.ask(served)
            await asyncio.sleep(0.01)
        await worker.task
        return list(done)

    assert [1, 9] == asyncio.run(evening(last=9))
    first, *between, last = asyncio.run(evening(last=200))
    assert (1, 200) == (first, last)
    assert 1 <= len(between) < 20


def test_new_sheet_is_in_the_answer(evening: Evening) -> None:
    """Scores are of the sheet just sent; what takes longer is named, and follows."""
    sent = fill(evening, but=2)
    headers, (pour, last) = evening.log_in(), evening.plan.pours[-2:]
    before = _settled(evening, headers)
    send(evening, pour, sheet(pour.code, aroma=6.0))
    after = evening.client.get(f'{DESK}/results', headers=headers).json()
    assert (len(sent), len(sent) + 1) == (before['findings']['marks'], after['findings']['marks'])
    assert not after['stale']
    assert after['newest'] == after['version'] > before['version'] == after['beside']
    assert list(PARTS) == after['again']
    old, now = before['findings'], after['findings']
    for name in IN_DOCUMENT + BY_MARK:
        assert old[name] == now[name]
    for key, category in now['categories'].items():
        assert all(old['categories'][key][name] == category[name] for name in BY_MARK)
    assert old['wines'] != now['wines']

    send(evening, last, sheet(last.code))
    whole = _settled(evening, headers)
    expected = weigh_record(evening.tasting, whole=True).findings
    assert json.loads(to_json(expected)) == whole['findings']


def test_fresh_scores_are_those_of_the_whole_result(evening: Evening) -> None:
    """After a sheet, a correction and a set-aside: every figure but those that follow later."""
    fill(evening, but=1)
    headers, last = evening.log_in(), evening.plan.pours[-1]
    _settled(evening, headers)
    send(evening, last, sheet(last.code, aroma=2.5))
    seen = [evening.client.get(f'{DESK}/results', headers=headers).json()]
    served = evening.run(evening.house.served)
    number = min(evening.run(served.writer.read, lambda state: list(state.entries)))

    async def corrected() -> None:
        sheet_of = evening.tasting.sheet
        await served.writer.do(
            lambda ledger, state: correct(
                ledger, sheet_of, number, {'taste': 1.0}, who="Mara Quill", why="misread",
                state=state,
            )
        )  # fmt: skip

    evening.run(corrected)
    seen.append(evening.client.get(f'{DESK}/results', headers=headers).json())
    aside = {'target': {'site': 'mill', 'wine': last.wine}, 'who': "Mara Quill", 'why': "spoiled"}
    evening.client.post(f'{DESK}/set-aside', json=aside, headers=headers)
    seen.append(evening.client.get(f'{DESK}/results', headers=headers).json())

    later = _settled(evening, headers)
    assert seen[-1]['version'] == later['version']
    assert 3 == len({json.dumps(each['findings']['wines']) for each in seen})
    for name in later['findings'].keys() - {*PARTS, 'categories'}:
        assert seen[-1]['findings'][name] == later['findings'][name], name
    for key, category in later['findings']['categories'].items():
        for name in category.keys() - {*BY_MARK}:
            assert seen[-1]['findings']['categories'][key][name] == category[name]


def test_slow_scores_follow(evening: Evening, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where scores take long the last result comes at once as stale, and the newer one is told."""
    sent = fill(evening, but=1)
    headers, last = evening.log_in(), evening.plan.pours[-1]
    _settled(evening, headers)
    monkeypatch.setattr(results, 'PATIENCE', 0.0)
    told: list[int] = []
    evening.house.part(Desk, Desk).results.listener = told.append
    send(evening, last, sheet(last.code))
    said = evening.client.get(f'{DESK}/results', headers=headers).json()
    assert (True, len(sent)) == (said['stale'], said['findings']['marks'])
    until = time.monotonic() + 30
    while not told:
        assert time.monotonic() < until
        time.sleep(0.02)
    said = evening.client.get(f'{DESK}/results', headers=headers).json()
    assert (False, len(sent) + 1) == (said['stale'], said['findings']['marks'])


def test_nothing_left_to_weigh_is_said(filled: Evening) -> None:
    """When all is set aside there is no result any more, rather than the last one for ever."""
    headers = filled.log_in()
    assert 200 == filled.client.get(f'{DESK}/results', headers=headers).status_code
    for site, wine in {(pour.site, pour.wine) for pour in filled.plan.pours}:
        wanted = {'target': {'site': site, 'wine': wine}, 'why': "the cellar was too warm"}
        filled.client.post(f'{DESK}/set-aside', json=wanted, headers=headers)
    said = filled.client.get(f'{DESK}/results', headers=headers)
    assert 404 == said.status_code
    for row in filled.client.get(f'{DESK}/set-aside', headers=headers).json():
        address = f'{DESK}/set-aside/{row["number"]}?why=it was not'
        filled.client.delete(address, headers=headers)
    assert 200 == filled.client.get(f'{DESK}/results', headers=headers).status_code


def test_preview_records_nothing(filled: Evening) -> None:
    """Looking ahead tells scores before and after, and leaves the record as it is."""
    headers, pour = filled.log_in(), filled.plan.pours[0]
    served = filled.run(filled.house.served)
    before = served.writer.version
    target = {'site': pour.site, 'wine': pour.wine}
    said = filled.client.post(f'{DESK}/set-aside/preview', json={'target': target}, headers=headers)
    assert 200 == said.status_code, said.text
    seats = 4 if pour.site == 'mill' else 3
    assert seats == said.json()['entries']
    assert before == served.writer.version
    wines = {place['wine']: place['marks'] for place in said.json()['before']}
    after = {place['wine']: place['marks'] for place in said.json()['after']}
    assert sum(wines.values()) - seats == sum(after.values())


def test_set_aside_and_back(filled: Evening) -> None:
    """What is set aside is listed with name and reason, and comes back for a reason."""
    headers, taster = filled.log_in(), filled.seating.plan.taster('quay', 1)
    wanted = {'target': {'taster': taster}, 'who': 'Mara Quill', 'why': 'had a cold'}
    rows = filled.client.post(f'{DESK}/set-aside', json=wanted, headers=headers)
    assert 201 == rows.status_code, rows.text
    (row,) = rows.json()
    assert ('Mara Quill', 'had a cold', 4) == (row['who'], row['why'], row['entries'])
    refused = filled.client.delete(f'{DESK}/set-aside/{row["number"]}?why=', headers=headers)
    assert 409 == refused.status_code
    back = filled.client.delete(f'{DESK}/set-aside/{row["number"]}?why=well again', headers=headers)
    assert [] == back.json()


@pytest.mark.parametrize('target', [{}, {'entry': 1, 'held': 2}, {'taster': 'nobody at all'},
                                    {'site': 'mill'}, {'entry': 9999}])  # fmt: skip
def test_wrong_target_is_refused(filled: Evening, target: dict[str, object]) -> None:
    """What names nothing, two things, or nothing that is there, is refused in words."""
    wanted = {'target': target, 'why': 'because'}
    said = filled.client.post(f'{DESK}/set-aside', json=wanted, headers=filled.log_in())
    assert said.status_code in {404, 409}
    assert said.json()['expected']


def test_reveal_needs_the_title(evening: Evening) -> None:
    """The wines are revealed once the title is typed, and not before."""
    headers = evening.log_in()
    said = evening.client.post(f'{DESK}/reveal', json={'confirm': 'yes'}, headers=headers)
    assert 422 == said.status_code
    assert not evening.client.get(f'{DESK}/reveal', headers=headers).json()['revealed']
    wanted = {'confirm': evening.tasting.title, 'who': 'Mara Quill'}
    said = evening.client.post(f'{DESK}/reveal', json=wanted, headers=headers)
    assert (True, 'Mara Quill') == (said.json()['revealed'], said.json()['who'])
    assert 'revealed' == evening.client.get('/api/hello').json()['tasting']['state']


def test_entries_without_names(filled: Evening) -> None:
    """With pseudonyms no taster's key is in the table; every entry is."""
    headers = filled.log_in()
    said = filled.client.get(f'{DESK}/files/entries.csv', headers=headers)
    rows = list(csv.DictReader(io.StringIO(said.text.lstrip('\ufeff'))))
    assert len(filled.plan.pours) == len(rows)
    assert {f'taster-{n:03}' for n in range(1, 8)} == {row['taster'] for row in rows}
    named = filled.client.get(
        f'{DESK}/files/entries.csv', params={'pseudonyms': False}, headers=headers
    )
    keys = {row['taster'] for row in csv.DictReader(io.StringIO(named.text.lstrip('\ufeff')))}
    assert {filled.seating.plan.taster(p.site, p.seat) for p in filled.plan.pours} == keys


def test_record_can_be_taken_along(filled: Evening, tmp_path: Path) -> None:
    """The downloaded record verifies, and ends where the served one does."""
    said = filled.client.get(f'{DESK}/files/record.ledger', headers=filled.log_in())
    copy = tmp_path / 'taken.ledger'
    copy.write_bytes(said.content)
    assert sqlite3.connect(copy).execute('PRAGMA quick_check').fetchone() == ('ok',)
    with Ledger.open(copy, tasting_key=filled.tasting.key, create=False) as ledger:
        result = ledger.verify()
    assert result.holds
    assert filled.run(filled.house.served).writer.version == result.records


def test_letters_after_the_reveal(filled: Evening) -> None:
    """Letters are refused before the reveal; after it the hosts' and the list come as one file."""
    headers = filled.log_in()
    early = filled.client.get(f'{DESK}/files/letters.zip', headers=headers)
    assert early.status_code >= 400
    assert 'not revealed' in early.json()['found']

    title = filled.tasting.title
    opened = filled.client.post(f'{DESK}/reveal', json={'confirm': title}, headers=headers)
    assert 200 == opened.status_code, opened.text
    answer = filled.client.get(f'{DESK}/files/letters.zip', headers=headers)

    assert 200 == answer.status_code, answer.text
    packed = zipfile.ZipFile(io.BytesIO(answer.content))
    names = packed.namelist()
    assert 'letters.csv' in names
    hosts = [name for name in names if name.startswith('hosts/')]
    assert len(filled.tasting.sites) == len(hosts)
    assert packed.read(hosts[0]).startswith(b'%PDF')
