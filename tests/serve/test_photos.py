"""Photographs that a host hands in: read one after another, and only the own site's."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from tests.serve.conftest import HIDDEN, Evening

from halfpoint.collect.paper.read.batch import PageDone
from halfpoint.collect.paper.read.model import HeldPage, Outcome, PageReading, PourReading
from halfpoint.collect.paper.read.source import ScanFile
from halfpoint.errors import InputError, NotAScan
from halfpoint.serve.photos import Photos, file_name
from halfpoint.serve.plan_now import PlanNow

MARKS = {'appearance': 3.0, 'aroma': 4.5, 'taste': 4.0, 'aftertaste': 2.0, 'overall': 1.5}


class Desk:
    """Reads pages by what a file says: a site and seat, or nothing that can be read."""

    def __init__(self, plan: PlanNow) -> None:
        self.plan = plan

    def __enter__(self) -> Desk:
        return self

    def __exit__(self, *exc: object) -> None:
        pass

    def read(
        self,
        paths: Iterable[Path],
        *,
        wanted: Callable[[ScanFile], Sequence[int]],
        refused: Callable[[Path, InputError], None],
    ) -> Iterator[PageDone]:
        for path in paths:
            text = path.read_text()
            if text == 'junk':
                refused(path, NotAScan("no picture", remedy="photograph it again"))
                continue
            scan = ScanFile(path, path.name, sha256(text.encode()).hexdigest(), 'jpeg', 1)
            for page in wanted(scan):
                yield PageDone(scan, page, self._outcome(text))

    def _outcome(self, text: str) -> Outcome:
        site, _, seat = text.partition(' ')
        if not seat:
            return HeldPage('blurred', "a blurred page", "a sharp one", "hold the phone still")
        pours = self.plan.by_seat[site, int(seat)]
        read = tuple(
            PourReading(place, pour.code, pour.position, MARKS, {})
            for place, pour in enumerate(pours, 1)
        )
        return PageReading(
            f'{site}{seat:0>20}', site, int(seat), int(seat), 1, 4,
            self.plan.taster(site, int(seat)), read,
        )  # fmt: skip


@pytest.fixture
def reading(evening: Evening) -> Evening:
    """The server with a reader that needs no pictures."""
    evening.client.app.state.photos = Photos(Desk)
    return evening


def hand_in(evening: Evening, *texts: str, site: str = 'mill') -> dict[str, Any]:
    files = [('files', (f'IMG_{n}.jpg', text.encode())) for n, text in enumerate(texts)]
    headers = evening.host(site)
    answer = evening.client.post('/api/site/photos', files=files, headers=headers)
    assert 200 == answer.status_code, answer.text
    path = f"/api/site/photos/{answer.json()['batch']}"
    for _ in range(200):
        shown = evening.client.get(path, headers=headers).json()
        if shown['state'] in {'done', 'stopped'}:
            return shown
        time.sleep(0.02)
    raise AssertionError(shown)


def test_photographs_become_entries(reading: Evening) -> None:
    """Each page is told with its seat, and its pours are entries of that seat."""
    shown = hand_in(reading, 'mill 1', 'mill 3')
    assert ('done', 2) == (shown['state'], shown['files'])
    assert [('read', 1), ('read', 3)] == [(p['status'], p['seat']) for p in shown['pages']]
    site = reading.client.get('/api/site', headers=reading.host()).json()
    sent = {seat['seat']: seat['sent'] for seat in site['tables'][0]['seats']}
    assert {1: 4, 2: 0, 3: 4, 4: 0} == sent
    assert [] == [word for word in HIDDEN if word in str(shown).casefold()]


def test_pages_handed_in_twice_add_nothing(reading: Evening) -> None:
    """They are told as there already."""
    hand_in(reading, 'mill 1')
    assert ['already'] == [page['status'] for page in hand_in(reading, 'mill 1')['pages']]


def test_another_sites_page_is_refused(reading: Evening) -> None:
    """A host hands in the own site's sheets; another's is neither recorded nor kept."""
    shown = hand_in(reading, 'quay 1')
    assert ['refused'] == [page['status'] for page in shown['pages']]
    assert "another site" in shown['pages'][0]['reason']
    site = reading.client.get('/api/site', headers=reading.host('quay')).json()
    assert 0 == site['arrived']


def test_what_cannot_be_read_is_told(reading: Evening) -> None:
    """A blurred page is held, a file that is no picture refused; the others go on."""
    shown = hand_in(reading, 'blur', 'junk', 'mill 2')
    assert ['held', 'refused', 'read'] == [page['status'] for page in shown['pages']]
    assert "hold the phone still" in shown['pages'][0]['reason']


def test_files_that_wait_are_read_after_the_next_start(reading: Evening) -> None:
    """What was handed in before the server was stopped is read when it runs again."""
    photos = Photos(Desk)
    folder = photos.new_folder(reading.tasting.ledger, 'mill')
    (folder / '001 IMG.jpg').write_text('mill 4')

    async def again() -> None:
        served = await reading.house.served()
        photos.begin_again(served.writer, (await reading.house.seating()).plan)
        await asyncio.gather(*photos._tasks)

    reading.run(again)
    site = reading.client.get('/api/site', headers=reading.host()).json()
    assert 4 == site['arrived']
    assert not folder.exists()


def test_a_batch_of_another_site_is_not_shown(reading: Evening) -> None:
    """Its key opens nothing for another host."""
    shown = hand_in(reading, 'mill 1')
    path = f"/api/site/photos/{shown['batch']}"
    assert 404 == reading.client.get(path, headers=reading.host('quay')).status_code


def test_names_of_files_are_harmless() -> None:
    """A name cannot leave its folder, hide, or be empty."""
    assert '001 passwd' == file_name('../../etc/passwd', 1)
    assert '002 b_.jpg' == file_name('a\\b\x00.jpg', 2)
    assert '003' == file_name('...', 3)
    assert '004 עברית.jpg' == file_name('עברית.jpg', 4)
