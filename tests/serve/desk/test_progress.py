"""Progress by site, and the stream of what happens."""

from __future__ import annotations

import asyncio
import json
from typing import Any

from tests.serve.conftest import Evening
from tests.serve.desk.filled_desk import fill, send
from tests.serve.filled import sheet

from halfpoint.serve.desk.desk import Desk


def test_progress_counts_each_site(evening: Evening) -> None:
    """Expected, arrived and held are those of each site."""
    sent = fill(evening, but=3)
    pour = evening.plan.pours[-1]
    send(evening, pour, sheet(pour.code, aroma=4.2))
    shown = evening.client.get('/api/desk/progress', headers=evening.log_in()).json()
    by_site = {site['key']: site for site in shown['sites']}
    assert {'mill': 16, 'quay': 12} == {key: each['expected'] for key, each in by_site.items()}
    assert len(sent) == shown['totals']['arrived']
    assert 1 == by_site[pour.site]['held'] == shown['totals']['held']


def test_progress_before_there_is_a_plan(unplanned: Evening) -> None:
    """Without a plan nothing is expected, and that is no mistake."""
    shown = unplanned.client.get('/api/desk/progress', headers=unplanned.log_in()).json()
    assert shown['totals']['expected'] is None


async def _words(evening: Evening, until: str, then: Any) -> list[str]:
    """Listen, do something, and give what was heard until this event came."""
    events = evening.house.part(Desk, Desk).events
    stream = events.listen(evening.house)
    heard = [(await anext(stream)).decode()]
    await asyncio.to_thread(then)
    async with asyncio.timeout(10):
        while len(heard) == 1 or f'event: {until}' not in heard[-1]:
            heard.append((await anext(stream)).decode())
    await stream.aclose()
    return heard


def test_stream_tells_what_happens(evening: Evening) -> None:
    """How things stand comes first, then each change."""
    pour = evening.plan.pours[0]
    heard = evening.run(
        _words, evening, 'looks', lambda: send(evening, pour, sheet(pour.code, aroma=4.2))
    )
    assert heard[0].startswith('retry: ')
    assert 'event: progress' in heard[0]
    data = json.loads(heard[-1].partition('data: ')[2])
    assert 1 == data['counts']['held']


def test_stream_tells_the_reveal(evening: Evening) -> None:
    """Every desk that is open hears of the reveal."""

    def reveal() -> None:
        evening.client.post(
            '/api/desk/reveal', json={'confirm': evening.tasting.title}, headers=evening.log_in()
        )

    heard = evening.run(_words, evening, 'revealed', reveal)
    assert 'revealed' in heard[-1]
