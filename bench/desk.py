"""The organiser's desk at 24,000 sheets: what each answer takes over HTTP, in milliseconds.

`halfpoint serve` in a process of its own, as it is run, asked over loopback; SQLite with full sync,
40 rooms of 50 seats and 12 wines. A new sheet is sent before each answer of the results page, and
that answer must have it in its scores. How long until everything beside them has it too, such as
bottles and tasters, is measured as well.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import statistics
import sys
import tempfile
import time
import uuid
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import httpx

from halfpoint.ledger.records import EntryRecorded
from halfpoint.serve.desk_store import DeskStore
from halfpoint.serve.guard.passwords import hash_password
from halfpoint.serve.settings import Settings
from measure.desk_record import fill, tasting_file
from measure.figures import keep, machine
from measure.serving import serving

SITES, SEATS, WINES = 40, 50, 12
NEW = 40
HELD = 200
MOST_RESULTS, MOST_DECISION = 0.300, 0.050
Ask = Callable[[], Awaitable[httpx.Response]]


class Bench:
    """The organiser, and the phones of the sheets that are still to come."""

    def __init__(self, port: int, session: str, phones: Sequence[Phone]) -> None:
        self.phones = list(phones)
        self.headers = {
            'Cookie': f'halfpoint_desk={session}', 'X-Halfpoint': '1',
            'Sec-Fetch-Site': 'same-origin',
        }  # fmt: skip
        self.client = httpx.AsyncClient(base_url=f'http://127.0.0.1:{port}', timeout=300)

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

    async def send(self, aroma: float | None = None) -> None:
        """Send the next sheet as its phone would."""
        phone = self.phones.pop()
        made = phone.recorded.entry
        marks = dict(made.marks) | ({} if aroma is None else {'aroma': aroma})
        sheet = {'id': str(uuid.uuid4()), 'version': 1, 'code': made.code, 'marks': marks}
        body = {'device': phone.device, 'app': 'bench', 'entries': [sheet]}
        answer = await self.client.put(
            '/api/sheet/entries', json=body, headers={'Authorization': f'Bearer {phone.token}'}
        )
        state = answer.json()['answers'][0]['state']
        if state != ('kept' if aroma is None else 'held'):
            raise RuntimeError(answer.text)


@dataclass(frozen=True, slots=True)
class Phone:
    """A device at a seat, and a sheet to be sent from it."""

    recorded: EntryRecorded
    device: str
    token: str


def phones_of(sheets: Sequence[EntryRecorded], desk: DeskStore) -> list[Phone]:
    """Each sheet with the phone of whoever filled it in; a phone has one token."""
    tokens: dict[str, str] = {}
    made = []
    for recorded in sheets:
        entry = recorded.entry
        device, seat = str(uuid.uuid5(uuid.NAMESPACE_URL, entry.taster)), entry.taster.split('-')[1]
        if device not in tokens:
            tokens[device] = desk.add_device(device, entry.site or '', int(seat))
        made.append(Phone(recorded, device, tokens[device]))
    return made


async def timed(ask: Ask) -> float:
    """Seconds that one answer takes."""
    began = time.perf_counter()
    await ask()
    return time.perf_counter() - began


async def results_page(bench: Bench) -> dict[str, list[float]]:
    """After each new sheet, the results page with that sheet; then until everything has it."""
    first = [await timed(lambda: bench.get('results?tasters=false'))]
    marks = (await settled(bench))['findings']['marks']
    after, whole = [], []
    for number in range(NEW):
        await bench.send()
        began = time.perf_counter()
        answer = await bench.get('results?tasters=false')
        after.append(time.perf_counter() - began)
        marks += 1
        if answer.json()['stale'] or answer.json()['findings']['marks'] != marks:
            print(f'the answer after new sheet {number + 1} does not have it')
            after[-1] = float('inf')
        if number % 10 == 9:
            await settled(bench)
            whole.append(time.perf_counter() - began)
        else:
            await asyncio.sleep(0.5)
    return {'results, the first time': first, 'results after a new sheet, with it': after,
            'until everything beside the scores has it': whole}  # fmt: skip


async def settled(bench: Bench) -> Any:
    """The result once nothing of it is being weighed again."""
    while (answer := (await bench.get('results?tasters=false')).json())['again']:
        await asyncio.sleep(0.1)
    return answer


async def deciding(bench: Bench) -> dict[str, list[float]]:
    """Held sheets decided one after another, the list asked for again after each."""
    for _ in range(HELD):
        await bench.send(aroma=4.2)
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


async def measure(bench: Bench) -> dict[str, list[float]]:
    """Everything, one after another."""
    return await results_page(bench) | await deciding(bench) | await beside(bench)


def measured(folder: Path) -> dict[str, list[float]]:
    """The tasting filled and served, and every answer timed."""
    file = tasting_file(folder, sites=SITES, seats=SEATS, wines=WINES)
    _, _, new = fill(file, spare=NEW + HELD)
    with DeskStore(Settings(file).desk) as desk:
        # With a first password of its own the server would end every session.
        desk.keep('password', hash_password(uuid.uuid4().hex))
        session = desk.begin_session(timedelta(days=1))
        phones = phones_of(new, desk)
    command = [Path(sys.executable).with_name('halfpoint'), 'serve', file]
    with serving([str(part) for part in command]) as (port, _):
        return asyncio.run(measure(Bench(port, session, phones)))


def main() -> None:
    """Measure, print, keep, and fail when an aim is missed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else '')
    parser.add_argument('--keep', action='store_true', help="write bench/figures/desk.json")
    asked, on = parser.parse_args(), machine()
    with tempfile.TemporaryDirectory(prefix='halfpoint-bench-') as folder:
        taken = measured(Path(folder))
    figures = {name: _figures(times) for name, times in taken.items()}
    for name, each in figures.items():
        print(f"{name:40} median {each['median_ms']:>10,.1f}  most {each['most_ms']:>10,.1f} ms")
    if asked.keep:
        keep('desk', on, figures | {'load_at_end': round(os.getloadavg()[0], 2)})
    if max(taken['results after a new sheet, with it']) > MOST_RESULTS:
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
