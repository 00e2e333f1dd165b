"""Photographs of sheets that a host hands in: kept, read one batch after another, recorded."""

from __future__ import annotations

import asyncio
import hashlib
import logging
import re
import secrets
import shutil
import threading
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from halfpoint.collect.paper.read.model import HeldPage, PageReading
from halfpoint.errors import HalfpointError, InputError, UsageError
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pages import PageArrived, PagesTaken, is_known, take_pages
from halfpoint.ledger.pictures import keep_picture
from halfpoint.ledger.replay import State
from halfpoint.serve.plan_now import PlanNow
from halfpoint.serve.writer import Writer
from halfpoint.writing import make_folder_safely

if TYPE_CHECKING:
    from halfpoint.collect.paper.read.batch import Batch, PageDone
    from halfpoint.collect.paper.read.source import ScanFile

_LOG = logging.getLogger(__name__)
Status = Literal['read', 'already', 'another', 'held', 'refused']
Reading = Callable[[PlanNow], 'Batch']
_NOT_IN_NAMES = re.compile(r'[^\w.() -]+')


@dataclass(frozen=True, slots=True)
class PageTold:
    """What became of a page.

    `read`; `already` recorded before; `another` picture of a page that says something else;
    `held` as it could not be read; `refused` as it is another site's, or no picture at all.
    """

    file: str
    page: int
    status: Status
    seat: int | None = None
    looks: int = 0
    reason: str = ''


@dataclass(slots=True)
class PhotoBatch:
    """The files handed in at once. `state`: waiting, reading, done, or stopped with a reason."""

    key: str
    site: str
    folder: Path
    files: tuple[str, ...]
    state: Literal['waiting', 'reading', 'done', 'stopped'] = 'waiting'
    pages: list[PageTold] = field(default_factory=list)
    reason: str = ''


class Photos:
    """Reads what hosts hand in, one batch after another, in processes beside the server.

    Files lie in a folder beside the record until all their pages are recorded, so that what was
    taken from a host is read even when the server stops meanwhile.
    """

    def __init__(self, reading: Reading | None = None) -> None:
        self._reading = reading or _usual_reading
        self._batches: dict[str, PhotoBatch] = {}
        self._turn = asyncio.Lock()
        self._tasks: set[asyncio.Task[None]] = set()
        self._stopping = threading.Event()

    def new_folder(self, beside: Path, site: str) -> Path:
        """A new folder for the files of a batch.

        Raises:
            DiskFull, OutputError: it could not be made.
        """
        folder = _waiting_room(beside) / _folder_name(site) / secrets.token_hex(8)
        make_folder_safely(folder)
        return folder

    def begin(self, writer: Writer, plan: PlanNow, site: str, folder: Path) -> PhotoBatch:
        """Read the files in this folder, by the plan, when it is their turn."""
        files = tuple(sorted(path.name for path in folder.iterdir()))
        batch = PhotoBatch(folder.name, site, folder, files)
        self._batches[batch.key] = batch
        task = asyncio.create_task(self._read_in_turn(writer, plan, batch))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)
        return batch

    def begin_again(self, writer: Writer, plan: PlanNow) -> None:
        """Go on with what was waiting when the server was stopped."""
        for site in dict.fromkeys(pour.site for pour in plan.plan.pours):
            waiting = _waiting_room(plan.tasting.beside) / _folder_name(site)
            for folder in sorted(waiting.iterdir()) if waiting.is_dir() else ():
                if folder.name not in self._batches and any(folder.iterdir()):
                    self.begin(writer, plan, site, folder)

    def find(self, key: str, site: str) -> PhotoBatch | None:
        """The batch with this key, of this site."""
        batch = self._batches.get(key)
        return batch if batch is not None and batch.site == site else None

    async def stop(self) -> None:
        """Leave off reading; what was not recorded is read after the next start."""
        self._stopping.set()
        await asyncio.gather(*self._tasks, return_exceptions=True)

    async def _read_in_turn(self, writer: Writer, plan: PlanNow, batch: PhotoBatch) -> None:
        async with self._turn:
            batch.state = 'reading'
            try:
                self._go_on()
                await self._read(writer, plan, batch)
                batch.state = 'done'
            except HalfpointError as refusal:
                batch.state, batch.reason = 'stopped', str(refusal)
            except Exception:
                # The files stay, and are tried again after the next start.
                batch.state = 'stopped'
                batch.reason = "reading stopped unexpectedly; tell the organiser"
                _LOG.exception('reading photographs')

    def _go_on(self) -> None:
        if self._stopping.is_set():
            raise _stopping()

    async def _read(self, writer: Writer, plan: PlanNow, batch: PhotoBatch) -> None:
        known = await writer.read(_known_pages)
        loop = asyncio.get_running_loop()
        steps = _Steps(batch, self._reading, plan, known)

        def read_all() -> None:
            for arrived in steps.pages():
                record = _record(writer, plan, batch, arrived)
                asyncio.run_coroutine_threadsafe(record, loop).result()
                self._go_on()

        await asyncio.to_thread(read_all)
        if not any(page.status == 'held' for page in batch.pages):
            await asyncio.to_thread(shutil.rmtree, batch.folder, ignore_errors=True)


async def _record(writer: Writer, plan: PlanNow, batch: PhotoBatch, arrived: PageArrived) -> None:
    outcome, tasting = arrived.outcome, plan.tasting
    if isinstance(outcome, PageReading) and outcome.site != batch.site:
        batch.pages.append(_of_another_site(arrived))
        return
    if isinstance(outcome, PageReading) and outcome.picture:
        picture = await asyncio.to_thread(keep_picture, tasting.beside, outcome.picture)
        arrived = replace(arrived, picture=picture)

    def job(ledger: Ledger, state: State) -> PageTold:
        taken = take_pages(
            ledger, tasting, plan.poured, [arrived],
            who=f"host of {batch.site}", state=state, reader=_reader(),
        )  # fmt: skip
        return _told(arrived, taken, state)

    batch.pages.append(await writer.do(job))


@dataclass(slots=True)
class _Steps:
    """The pages of a batch, one after another; made in a thread, as reading waits."""

    batch: PhotoBatch
    reading: Reading
    plan: PlanNow
    known: Callable[[str, int], bool]

    def pages(self) -> Iterator[PageArrived]:
        """Every page that is not known yet, as it was read."""
        paths = [self.batch.folder / name for name in self.batch.files]
        with self.reading(self.plan) as batch:
            for done in batch.read(paths, wanted=self._wanted, refused=self._refused):
                yield self._arrived(done)

    def _wanted(self, scan: ScanFile) -> Sequence[int]:
        pages = range(1, scan.pages + 1)
        for page in pages:
            if self.known(scan.digest, page):
                self.batch.pages.append(PageTold(scan.path.name, page, 'already'))
        return [page for page in pages if not self.known(scan.digest, page)]

    def _refused(self, path: Path, refusal: InputError) -> None:
        said = f"{refusal.found}; {refusal.remedy}"
        self.batch.pages.append(PageTold(path.name, 1, 'refused', reason=said))

    def _arrived(self, done: PageDone) -> PageArrived:
        name = f'{self.batch.site}/{done.scan.path.name}'
        return PageArrived(name, done.scan.digest, done.page, done.outcome)


def _usual_reading(plan: PlanNow) -> Batch:
    from halfpoint.collect.paper.read.process import batch_for  # noqa: PLC0415 - OpenCV is heavy

    return batch_for(plan.tasting, plan.plan, workers=1)


def _reader() -> str:
    from halfpoint.collect.paper.read.read_page import READER  # noqa: PLC0415 - OpenCV is heavy

    return READER


def _known_pages(state: State) -> Callable[[str, int], bool]:
    reader = _reader()
    seen = {key for key in state.papers.seen if is_known(state, *key, reader=reader)}
    return lambda digest, page: (digest, page) in seen


def _told(arrived: PageArrived, taken: PagesTaken, state: State) -> PageTold:
    name, outcome = arrived.file.rpartition('/')[2], arrived.outcome
    if isinstance(outcome, HeldPage):
        status: Status = 'held' if taken.held else 'already'
        return PageTold(name, arrived.page, status, reason=f"{outcome.found}; {outcome.remedy}")
    status = 'read' if taken.read else 'another' if taken.others else 'already'
    looks = sum(1 for n in taken.read for _ in state.papers.pages[n].open_looks())
    return PageTold(name, arrived.page, status, outcome.seat, looks)


def _of_another_site(arrived: PageArrived) -> PageTold:
    name = arrived.file.rpartition('/')[2]
    said = "a sheet of another site; its own host or the organiser hands it in"
    return PageTold(name, arrived.page, 'refused', reason=said)


def file_name(said: Any, number: int) -> str:
    """A name for an uploaded file: what it was called, as far as that is safe, and a number."""
    text = unicodedata.normalize('NFC', str(said or '')).replace('\\', '/').rpartition('/')[2]
    safe = _NOT_IN_NAMES.sub('_', text).strip('. ')[-60:]
    return f'{number:03d} {safe}' if safe else f'{number:03d}'


def _waiting_room(beside: Path) -> Path:
    """Where files wait to be read."""
    return beside.with_name(f'{beside.name}.photos')


def _folder_name(site: str) -> str:
    readable = _NOT_IN_NAMES.sub('_', site).strip('. ')[:40]
    return f'{readable} {hashlib.sha256(site.encode()).hexdigest()[:8]}'.strip()


def _stopping() -> UsageError:
    return UsageError(
        "the server was stopped", remedy="nothing to do: reading goes on when it is started again"
    )
