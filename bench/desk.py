"""The organiser's desk at 24,000 sheets: what each answer takes on the server, in milliseconds.

The whole application over ASGI in this process, SQLite with full sync, 40 rooms of 50 seats and
12 wines. A new sheet is sent before each answer of the results page, so that each follows a
change. How long until the page shows that sheet too is measured beside it.
"""

from __future__ import annotations

import argparse
import asyncio
import statistics
import tempfile
import time
import uuid
from collections.abc import Awaitable, Callable
from contextlib import AsyncExitStack
from datetime import timedelta
from pathlib import Path

import httpx

from halfpoint.ledger.records import EntryRecorded
from halfpoint.serve.app import create_app
from halfpoint.serve.settings import Settings
from measure.desk_record import fill, tasting_file
from measure.figures import keep, machine

SITES, SEATS, WINES = 40, 50, 12
NEW = 40
HELD = 200
MOST_RESULTS, MOST_DECISION = 0.300, 0.050
Ask = Callable[[], Awaitable[httpx.Response]]


class Bench:
    """A client of the application, logged in at the desk."""

    def __init__(self, app: object, file: Path, new: list[EntryRecorded]) -> None:
        self.app, self.file, self.new = app, file, new
        self.headers: dict[str, str] = {}
        self.client = httpx.AsyncClient(
            transport=httpx.ASGITransport(app),  # type: ignore[arg-type]
            base_url='http://halfpoint.test',
            timeout=300,
        )

    @property
    def house(self) -> object:
        """What the routes work on."""
        return self.app.state.house  # type: ignore[attr-defined]

    async def get(self, address: str) -> httpx.Response:
        """Ask as the organiser."""
        answer = await self.client.get(f'/api/desk/{address}', headers=self.headers)
        if answer.status_code not in {200, 204, 304}:
            raise RuntimeError(f'{address}: {answer.status_code} {answer.text[:200]}')
        return answer

    async def post(self, address: str, body: object) -> httpx.Response:
        """Decide as the organiser."""
        answer = await self.client.post(f'/api/desk/{address}', json=body, headers=self.headers)
        if answer.status_code >= 300:
            raise RuntimeError(f'{address}: {answer.status_code} {answer.text[:200]}')
        return answer

    async def send(self, entry: EntryRecorded, aroma: float | None = None) -> None:
        """Send one sheet as its phone would."""
        made, device = entry.entry, str(uuid.uuid5(uuid.NAMESPACE_URL, entry.entry.taster))
        seat = int(made.taster.rpartition('-')[2])
        token = self.house.desk.add_device(device, made.site, seat)  # type: ignore[attr-defined]
        marks = dict(made.marks) | ({} if aroma is None else {'aroma': aroma})
        sheet = {'id': str(uuid.uuid4()), 'version': 1, 'code': made.code, 'marks': marks}
        body = {'device': device, 'app': 'bench', 'entries': [sheet]}
        answer = await self.client.put(
            '/api/sheet/entries', json=body, headers={'Authorization': f'Bearer {token}'}
        )
        state = answer.json()['answers'][0]['state']
        if state != ('kept' if aroma is None else 'held'):
            raise RuntimeError(answer.text)


async def timed(ask: Ask) -> float:
    """Seconds that one answer takes."""
    began = time.perf_counter()
    await ask()
    return time.perf_counter() - began


async def results_page(bench: Bench) -> dict[str, list[float]]:
    """After each new sheet, the results page; then how long until that sheet is in it."""
    first = [await timed(lambda: bench.get('results'))]
    after, fresh = [], []
    for number in range(NEW):
        await bench.send(bench.new.pop())
        after.append(await timed(lambda: bench.get('results')))
        if number % 10 == 9:
            fresh.append(await until_fresh(bench))
        else:
            await asyncio.sleep(0.5)
    return {'results, the first time': first, 'results after a new sheet': after,
            'until the new sheet is in the scores': fresh}  # fmt: skip


async def until_fresh(bench: Bench) -> float:
    """Seconds until the newest sheet is in the scores."""
    began = time.perf_counter()
    while (await bench.get('results')).json()['stale']:
        await asyncio.sleep(0.05)
    return time.perf_counter() - began


async def deciding(bench: Bench) -> dict[str, list[float]]:
    """Held sheets decided one after another, the list asked for again after each."""
    for _ in range(HELD):
        await bench.send(bench.new.pop(), aroma=4.2)
    first = [await timed(lambda: bench.get('looks?kind=held'))]
    items = (await bench.get(f'looks?kind=held&most={HELD}')).json()['items']
    lists, decisions = [], []
    for item in items:
        lists.append(await timed(lambda: bench.get('looks?kind=held&most=20')))
        address, body = f'looks/{item["id"]}', {'choice': '1', 'who': 'bench'}
        decisions.append(await timed(lambda: bench.post(address, body)))  # noqa: B023
    return {'list, the first time': first, 'list after a decision': lists,
            'a decision, on the disk': decisions}  # fmt: skip


async def beside(bench: Bench) -> dict[str, list[float]]:
    """What else the desk asks for."""
    body = {'target': {'taster': 's1-3'}}
    await bench.post('set-aside/preview', body)
    return {
        'preview of a set-aside': [
            await timed(lambda: bench.post('set-aside/preview', body)) for _ in range(3)
        ],
        'progress': [await timed(lambda: bench.get('progress')) for _ in range(10)],
        'people': [await timed(lambda: bench.get('people')) for _ in range(3)],
        'set-asides': [await timed(lambda: bench.get('set-aside')) for _ in range(3)],
    }


async def measure(folder: Path) -> dict[str, list[float]]:
    """Everything, one after another."""
    file = tasting_file(folder, sites=SITES, seats=SEATS, wines=WINES)
    _, _, new = fill(file, spare=NEW + HELD)
    app = create_app(Settings(file))
    async with AsyncExitStack() as stack:
        await stack.enter_async_context(app.router.lifespan_context(app))
        bench = Bench(app, file, new)
        token = bench.house.desk.begin_session(timedelta(days=1))  # type: ignore[attr-defined]
        bench.headers = {
            'Cookie': f'halfpoint_desk={token}', 'X-Halfpoint': '1',
            'Sec-Fetch-Site': 'same-origin',
        }  # fmt: skip
        return await results_page(bench) | await deciding(bench) | await beside(bench)


def main() -> None:
    """Measure, print, keep, and fail when an aim is missed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else '')
    parser.add_argument('--keep', action='store_true', help="write bench/figures/desk.json")
    asked, on = parser.parse_args(), machine()
    with tempfile.TemporaryDirectory(prefix='halfpoint-bench-') as folder:
        taken = asyncio.run(measure(Path(folder)))
    figures = {name: _figures(times) for name, times in taken.items()}
    for name, each in figures.items():
        print(f"{name:40} median {each['median_ms']:>10,.1f}  most {each['most_ms']:>10,.1f} ms")
    if asked.keep:
        keep('desk', on, figures)
    if max(taken['results after a new sheet']) > MOST_RESULTS:
        raise SystemExit("the results page takes longer than 300 ms")
    if statistics.median(taken['a decision, on the disk']) > MOST_DECISION:
        raise SystemExit("a decision takes longer than 50 ms")


def _figures(times: list[float]) -> dict[str, float]:
    return {
        'median_ms': round(statistics.median(times) * 1000, 1),
        'most_ms': round(max(times) * 1000, 1),
        'times': len(times),
    }


if __name__ == '__main__':
    main()
