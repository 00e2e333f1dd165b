"""The one pen: many jobs to a commit, each answered when it is on the disk."""

from __future__ import annotations

import asyncio
import sqlite3
import threading
from collections.abc import Callable, Coroutine
from pathlib import Path
from typing import Any

import pytest

from halfpoint.errors import DiskFull, LedgerBusy, LedgerError, UsageError
from halfpoint.ledger.changes import reveal
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import FileGathered
from halfpoint.ledger.replay import State
from halfpoint.serve.writer import Writer

Body = Callable[[Writer], Coroutine[Any, Any, None]]


def opener(folder: Path, patience: float = 10.0) -> Callable[[], Ledger]:
    path = folder / 'tasting.ledger'
    return lambda: Ledger.open(path, tasting_key='spring', patience=patience)


def with_writer(folder: Path, body: Body, patience: float = 10.0) -> None:
    async def run() -> None:
        writer = Writer(opener(folder, patience))
        await writer.start()
        try:
            await body(writer)
        finally:
            await writer.stop()

    asyncio.run(run())


def note(name: str) -> Callable[[Ledger, State], int]:
    def job(ledger: Ledger, state: State) -> int:
        del state
        (number,) = ledger.append([FileGathered(name, name, 0, 0, 0)], who='test')
        return number

    return job


def on_disk(folder: Path) -> list[str]:
    """What another connection sees, which is what was committed."""
    with opener(folder)() as ledger:
        return [r.content.file for r in ledger.records() if isinstance(r.content, FileGathered)]


def test_what_is_answered_is_on_the_disk(tmp_path: Path) -> None:
    """Another connection sees a job's records as soon as its answer is there."""

    async def body(writer: Writer) -> None:
        assert 2 == await writer.do(note('one'))
        assert ['one'] == on_disk(tmp_path)
        assert {'one'} == await writer.read(lambda state: set(state.digests))

    with_writer(tmp_path, body)


def test_jobs_that_come_together_share_a_commit(tmp_path: Path) -> None:
    """While one job holds the pen the others gather, and are committed at once."""

    async def body(writer: Writer) -> None:
        gate = threading.Event()
        first = asyncio.ensure_future(writer.do(lambda ledger, state: gate.wait(10)))
        await asyncio.sleep(0.05)
        rest = [asyncio.ensure_future(writer.do(note(str(n)))) for n in range(20)]
        await asyncio.sleep(0.05)
        before = _commits(tmp_path)
        gate.set()
        await asyncio.gather(first, *rest)
        assert list(map(str, range(20))) == on_disk(tmp_path)
        assert 1 == _commits(tmp_path) - before

    with_writer(tmp_path, body)


def _commits(folder: Path) -> int:
    """How many frames of the write-ahead log end a commit (https://www.sqlite.org/fileformat2.html,
    4.1: bytes 4 to 7 of a frame's header are the size of the database after a commit, else 0)."""
    log = (folder / 'tasting.ledger-wal').read_bytes()
    size = int.from_bytes(log[8:12], 'big')
    salt = log[16:24]
    frames = range(32, len(log), size + 24)
    return sum(log[f + 8 : f + 16] == salt and any(log[f + 4 : f + 8]) for f in frames)


def test_one_job_that_fails_undoes_no_other(tmp_path: Path) -> None:
    """A job that adds something and then raises leaves nothing; the rest of the commit stays."""

    def failing(ledger: Ledger, state: State) -> None:
        note('bad')(ledger, state)
        raise UsageError("no")

    async def body(writer: Writer) -> None:
        jobs = [writer.do(note('one')), writer.do(failing), writer.do(note('two'))]
        first, second, third = await asyncio.gather(*jobs, return_exceptions=True)
        assert (2, 3) == (first, third)
        assert isinstance(second, UsageError)
        assert ['one', 'two'] == on_disk(tmp_path)
        assert {'one', 'two'} == await writer.read(lambda state: set(state.digests))

    with_writer(tmp_path, body)


def test_functions_of_the_ledger_are_jobs(tmp_path: Path) -> None:
    """What opens the pen for itself works as a step of the commit."""

    async def body(writer: Writer) -> None:
        assert await writer.do(lambda ledger, state: reveal(ledger, who='Mira'))
        assert await writer.read(lambda state: state.revealed is not None)

    with_writer(tmp_path, body)


def test_what_another_process_adds_is_seen(tmp_path: Path) -> None:
    """Records added elsewhere are known before the next job, and noticed without one."""

    async def body(writer: Writer) -> None:
        version = writer.version
        with opener(tmp_path)() as other:
            note('theirs')(other, State())
        assert await asyncio.wait_for(writer.changed_after(version), 5) > version
        with opener(tmp_path)() as other:
            note('again')(other, State())
        seen = await writer.do(lambda ledger, state: set(state.digests))
        assert {'theirs', 'again'} == seen

    with_writer(tmp_path, body)


def test_a_locked_record_refuses_and_goes_on(tmp_path: Path) -> None:
    """While another process keeps the pen jobs are refused; afterwards they are taken."""

    async def body(writer: Writer) -> None:
        await writer.do(note('one'))
        other = sqlite3.connect(tmp_path / 'tasting.ledger', isolation_level=None)
        other.execute('BEGIN IMMEDIATE')
        with pytest.raises(LedgerBusy):
            await writer.do(note('two'))
        other.execute('ROLLBACK')
        other.close()
        assert 3 == await writer.do(note('two'))

    with_writer(tmp_path, body, patience=0.1)


def test_a_full_disk_refuses_all_of_the_commit(tmp_path: Path) -> None:
    """Without room nothing is answered as kept, nothing is half there, and later it goes on."""

    def limit(pages: int) -> Callable[[Ledger, State], None]:
        def job(ledger: Ledger, state: State) -> None:
            del state
            connection = ledger._store._connection
            (used,) = connection.execute('PRAGMA page_count').fetchone()
            connection.execute(f'PRAGMA max_page_count = {used + pages}')

        return job

    async def body(writer: Writer) -> None:
        await writer.do(note('one'))
        await writer.read(lambda state: None)
        await writer.do(limit(0))
        jobs = [writer.do(note('x' * 3000)) for _ in range(20)]
        refusals = await asyncio.gather(*jobs, return_exceptions=True)
        assert {DiskFull} == set(map(type, refusals))
        assert ['one'] == on_disk(tmp_path)
        await writer.do(limit(1000))
        assert 3 == await writer.do(note('two'))
        assert {'one', 'two'} == await writer.read(lambda state: set(state.digests))

    with_writer(tmp_path, body)


def test_a_stopped_writer_says_so(tmp_path: Path) -> None:
    """What was asked before stopping is written; what comes after is refused in words."""

    async def run() -> None:
        writer = Writer(opener(tmp_path))
        await writer.start()
        last = asyncio.ensure_future(writer.do(note('last')))
        await asyncio.sleep(0)
        await writer.stop()
        assert 2 == await last
        with pytest.raises(LedgerError, match="closed"):
            await writer.do(note('late'))

    asyncio.run(run())


def test_a_record_that_cannot_be_opened_is_told_at_the_start(tmp_path: Path) -> None:
    """Starting on another tasting's record refuses at once."""
    opener(tmp_path)().close()

    async def run() -> None:
        path = tmp_path / 'tasting.ledger'
        writer = Writer(lambda: Ledger.open(path, tasting_key='autumn'))
        with pytest.raises(LedgerError, match="belongs to the tasting spring"):
            await writer.start()

    asyncio.run(run())
