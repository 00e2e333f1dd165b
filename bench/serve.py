"""The server under load: sheets acknowledged a second, and many event streams, over loopback.

200 clients in a process of their own send one sheet a request to `halfpoint serve` as it is run:
Granian, the whole application, SQLite with full sync.  First 520 sheets a second are due, and each
waits from the moment it is due; then as many as it takes.  The server is killed each time, and
every sheet it had acknowledged must be in the record.  Beside it in the same run the same server
with one commit for each sheet.  Then 3,000 event streams on one process, and how soon all are told.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import resource
import subprocess
import sys
import tempfile
import uuid
from collections import Counter
from collections.abc import Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.planned import record_plan
from halfpoint.plan.export import plan_data
from halfpoint.plan.make import make_plan
from halfpoint.serve import writer
from halfpoint.serve.desk_store import DeskStore
from halfpoint.serve.run import run
from halfpoint.serve.settings import Settings
from halfpoint.tasting.load import load_tasting
from measure.figures import describe, keep, machine, print_table
from measure.serve_client import Phone, Sent, Streams, send_all, stream_all
from measure.serving import serving

SITES, SEATS, WINES = 40, 50, 12
CLIENTS, DUE, SECONDS, SKIP = 200, 520.0, 20.0, 2.0
FLAT_OUT = 8.0
STREAMS = 3000
LEAST_RATE, MOST_P99 = 500.0, 0.100
MOST_TOLD = 2.0


def tasting_file(folder: Path) -> Path:
    """An invented tasting with a plan in its record."""
    head = '[tasting]\nkey = "bench"\ntitle = "Bench (invented)"\ninvented = true\n'
    head += f'[plan]\nseats = {SEATS}\ncapacity = {WINES}\n'
    sites = ''.join(f'[[site]]\nkey = "s{n}"\nname = "Room {n}"\n' for n in range(SITES))
    wines = ''.join(f'[[wine]]\nkey = "w{n}"\nname = "Wine {n}"\n' for n in range(WINES))
    file = folder / 'bench.toml'
    file.write_text(head + sites + wines, encoding='utf-8')
    tasting = load_tasting(file)
    with Ledger.open(tasting.ledger, tasting_key=tasting.key) as ledger:
        record_plan(ledger, plan_data(make_plan(tasting, seed=1)), after=None, who='bench')
    return file


def seated(file: Path) -> tuple[list[Phone], str]:
    """A phone at every seat, and a session of the organiser."""
    tasting = load_tasting(file)
    with Ledger.open(tasting.ledger, tasting_key=tasting.key) as ledger:
        plan = next(r.content for r in ledger.records() if r.kind == 'planned')
    codes: dict[tuple[str, int], list[str]] = {}
    for pour in plan.plan['pours']:  # type: ignore[union-attr]
        codes.setdefault((pour['site'], pour['seat']), []).append(pour['code'])
    with DeskStore(Settings(file).desk) as desk:
        phones = []
        for number, ((site, seat), mine) in enumerate(codes.items()):
            device = str(uuid.UUID(int=number + 1))
            phones.append(Phone(desk.add_device(device, site, seat), device, tuple(mine)))
        return phones, desk.begin_session(timedelta(days=1))


def served(
    file: Path, *, one_by_one: bool = False
) -> AbstractContextManager[tuple[int, subprocess.Popen[bytes]]]:
    """The server in a process of its own."""
    command = [sys.executable, __file__, '--serve', str(file)]
    return serving([*command, *(['--one-by-one'] if one_by_one else [])])


@dataclass(frozen=True, slots=True)
class Loaded:
    """What came of a load; `cost` is seconds of a processor that the server took for a sheet."""

    sent: Sent
    cost: float


def load(
    file: Path,
    phones: Sequence[Phone],
    seconds: float,
    *,
    due: float = 0.0,
    one_by_one: bool = False,
) -> Loaded:
    """Sheets from many clients, then the server killed, and the record looked at."""
    before = recorded(file)
    with served(file, one_by_one=one_by_one) as (port, process):
        began = _processor_seconds(process)
        every = CLIENTS / due if due else 0.0
        sent = asyncio.run(send_all(port, phones, CLIENTS, seconds, every))
        cost = (_processor_seconds(process) - began) / len(sent.times)
        process.kill()
        process.wait()
    kept = recorded(file) - before
    if sent.refused or kept < len(sent.times):
        answers = Counter(body[:200] for body in sent.refused).most_common(3)
        raise SystemExit(f'{kept} kept of {len(sent.times)} acknowledged; refused: {answers}')
    return Loaded(sent, cost)


def _processor_seconds(process: subprocess.Popen[bytes]) -> float:
    """User and system time of a process so far, as Linux tells it (proc(5)); 0 elsewhere."""
    told = Path(f'/proc/{process.pid}/stat')
    if not told.exists():
        return 0.0
    fields = told.read_text().rpartition(')')[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf('SC_CLK_TCK')


def recorded(file: Path) -> int:
    """How many entries are in the record."""
    with Ledger.open(load_tasting(file).ledger, tasting_key='bench') as ledger:
        return sum(record.kind == 'entry' for record in ledger.records())


def streams(file: Path, cookie: str, phone: Phone) -> tuple[Streams, float]:
    """Many event streams on one process, and its memory in megabytes."""
    with served(file) as (port, process):
        done = asyncio.run(stream_all(port, cookie, STREAMS, phone))
        status = Path(f'/proc/{process.pid}/status')
        peak = 0.0
        if status.exists():
            lines = dict(line.split(':', 1) for line in status.read_text().splitlines())
            peak = int(lines['VmHWM'].split()[0]) / 1e3
    return done, peak


def main() -> int:
    """Measure, print, keep; 1 when a figure misses what it is meant to be."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (max(soft, min(hard, 16_384)), hard))
    on = machine()
    with tempfile.TemporaryDirectory() as name:
        file = tasting_file(Path(name))
        phones, cookie = seated(file)
        last = phones.pop()
        third = len(phones) // 3
        due = load(file, phones[: 2 * third], SECONDS, due=DUE)
        peer = load(file, phones[2 * third :][::2], FLAT_OUT, one_by_one=True)
        most = load(file, phones[2 * third :][1::2], FLAT_OUT)
        told, memory = streams(file, cookie, last)
    sent = due.sent
    rate, p99 = sent.rate(SKIP), sent.percentile(0.99, SKIP)
    slowest = max(told.told, default=0.0)
    heard = (
        f'{told.opened:,} open, {len(told.told):,} told, the last after {slowest:.2f} s; '
        f'{memory:.0f} MB'
    )
    print_table(
        f'halfpoint serve, {CLIENTS} clients, one sheet a request',
        [
            ('machine', describe(on)),
            ('sheets', f'{rate:,.0f} a second of {DUE:g} due (meant: {LEAST_RATE:g} at least)'),
            ('acknowledged', f'{len(sent.times):,}; all in the record after a kill'),
            ('half within', f'{1000 * sent.percentile(0.5, SKIP):.0f} ms'),
            ('99 in 100 within', f'{1000 * p99:.0f} ms (meant: under {1000 * MOST_P99:g} ms)'),
            ('processor', f'{1e6 * due.cost:.0f} µs a sheet'),
            ('flat out', _flat_out(most)),
            ('a commit a sheet', _flat_out(peer)),
            ('event streams', heard if told.opened else f'none: {told.status!r}'),
        ],
    )
    keep(
        'serve',
        on,
        {
            'sheets_a_second': round(rate),
            'median_ms': round(1000 * sent.percentile(0.5, SKIP), 1),
            'p99_ms': round(1000 * p99, 1),
            'acknowledged': len(sent.times),
            'processor_us_a_sheet': round(1e6 * due.cost),
            'flat_out_a_second': round(most.sent.rate(1.0)),
            'commit_a_sheet_a_second': round(peer.sent.rate(1.0)),
            'streams': told.opened,
            'streams_told': len(told.told),
            'last_told_s': round(slowest, 2),
            'memory_mb': round(memory),
            'load_at_end': round(os.getloadavg()[0], 2),
        },
    )
    fast = rate >= LEAST_RATE and p99 < MOST_P99
    return 0 if fast and len(told.told) == STREAMS and slowest < MOST_TOLD else 1


def _flat_out(done: Loaded) -> str:
    slowest = 1000 * done.sent.percentile(0.99, 1.0)
    return f'{done.sent.rate(1.0):,.0f} a second, 99 in 100 within {slowest:.0f} ms'


def serve(file: Path, port: int, *, one_by_one: bool) -> None:
    """What the server's process does."""
    if one_by_one:
        writer.MOST_AT_ONCE = 1
    run(Settings(file, port=port), None)


if __name__ == '__main__':
    asked = argparse.ArgumentParser()
    asked.add_argument('--serve', type=Path)
    asked.add_argument('--port', type=int, default=0)
    asked.add_argument('--one-by-one', action='store_true')
    said = asked.parse_args()
    if said.serve:
        serve(said.serve, said.port, one_by_one=said.one_by_one)
    else:
        sys.exit(main())
