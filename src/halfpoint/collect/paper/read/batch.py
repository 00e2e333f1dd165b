"""Many files to the readings of their pages, over processes, in the order of the files."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from halfpoint.collect.paper.read.model import HeldPage, Outcome
from halfpoint.collect.paper.read.pool import CRASHED, Failure, Pool
from halfpoint.collect.paper.read.source import Picture, ScanFile, open_pages, open_scan
from halfpoint.errors import FileNotReadable, InputError
from halfpoint.plan.model import Plan
from halfpoint.tasting.model import Tasting

# Pages recorded at a time: a crash loses no more than so many readings, and no page.
BATCH = 16
MOST_WORKERS = 8
SECONDS_A_PAGE = 60.0
# A file is read through once for its digest; a large one on a slow disk takes its time.
SECONDS_A_FILE = 600.0

Read = Callable[[Picture], Outcome]


@dataclass(frozen=True, slots=True)
class PageTask:
    """A page of a file, from 1."""

    scan: ScanFile
    page: int


@dataclass(frozen=True, slots=True)
class PageDone:
    """A page of a file, and what reading it gave."""

    scan: ScanFile
    page: int
    outcome: Outcome


class FilePages:
    """Reads pages of files one after another, the last file kept open."""

    def __init__(self, read: Read) -> None:
        self._read = read
        self._open = ExitStack()
        self._scan: ScanFile | None = None
        self._pages: Any = None

    def __call__(self, task: PageTask) -> Outcome | InputError:
        """The reading of one page, why it is held, or why the file cannot be read after all."""
        try:
            if task.scan != self._scan:
                self._turn_to(task.scan)
            picture = self._pages.picture(task.page)
        except InputError as refusal:
            return refusal
        return picture if isinstance(picture, HeldPage) else self._read(picture)

    def _turn_to(self, scan: ScanFile) -> None:
        self._open.close()
        self._scan = None
        self._pages = self._open.enter_context(open_pages(scan))
        self._scan = scan


def page_reader(tasting: Tasting, plan: Plan) -> FilePages:
    """What reads the pages of this tasting, in a process of its own."""
    import cv2

    from halfpoint.collect.paper.read.expected import PlannedPages
    from halfpoint.collect.paper.read.read_page import PageReader

    cv2.setNumThreads(1)
    return FilePages(PageReader(PlannedPages(tasting, plan), tasting.sheet).read)


def open_file(path: Path) -> ScanFile | InputError:
    """The file, or why it cannot be read."""
    try:
        return open_scan(path)
    except InputError as refusal:
        return refusal


def file_opener() -> Callable[[Path], ScanFile | InputError]:
    """What opens files, in a process of its own: a hostile file ends no more than that."""
    return open_file


class Batch:
    """The processes that read: one opens files, `workers` read pages. A context manager."""

    def __init__(
        self,
        make: Callable[[], Callable[[PageTask], Outcome | InputError]],
        *,
        workers: int,
        seconds_a_page: float = SECONDS_A_PAGE,
    ) -> None:
        self._opener = Pool(file_opener, workers=1, seconds=SECONDS_A_FILE)
        self._readers = Pool(make, workers=workers, seconds=seconds_a_page)

    @classmethod
    def of(cls, tasting: Tasting, plan: Plan, *, workers: int | None = None) -> Batch:
        """The processes that read the sheets of this plan."""
        return cls(partial(page_reader, tasting, plan), workers=workers or usual_workers())

    def __enter__(self) -> Batch:
        return self

    def __exit__(self, *exc: object) -> None:
        self._readers.__exit__(*exc)
        self._opener.__exit__(*exc)

    def read(
        self,
        paths: Iterable[Path],
        *,
        wanted: Callable[[ScanFile], Sequence[int]],
        refused: Callable[[Path, InputError], None],
    ) -> Iterator[PageDone]:
        """The readings of all pages that are wanted, in the order of files and pages.

        Args:
            paths: the files.
            wanted: which pages of a file to read, from 1; none when all are known.
            refused: told of each file that cannot be read; the others go on.
        """
        tasks = self._tasks(paths, wanted, refused)
        refusals: set[str] = set()
        for task, result in self._readers.results(tasks):
            if isinstance(result, InputError):
                if task.scan.digest not in refusals:
                    refusals.add(task.scan.digest)
                    refused(task.scan.path, result)
                continue
            outcome = _held(result) if isinstance(result, Failure) else result
            yield PageDone(task.scan, task.page, outcome)

    def _tasks(
        self,
        paths: Iterable[Path],
        wanted: Callable[[ScanFile], Sequence[int]],
        refused: Callable[[Path, InputError], None],
    ) -> Iterator[PageTask]:
        for path, opened in self._opener.results(paths):
            if isinstance(opened, Failure):
                refused(path, _not_opened(path, opened))
            elif isinstance(opened, InputError):
                refused(path, opened)
            else:
                yield from (PageTask(opened, page) for page in wanted(opened))


def usual_workers() -> int:
    """As many processes as there are cores for us, at most eight."""
    try:
        cores = len(os.sched_getaffinity(0))
    except AttributeError:
        cores = os.cpu_count() or 1
    return min(cores, MOST_WORKERS)


def _held(failure: Failure) -> HeldPage:
    what = "makes the reader stop" if failure.reason == CRASHED else "takes too long"
    return HeldPage(
        failure.reason,
        f"a page that {what}: {failure.said}",
        "a page that can be read in a moment",
        "scan or photograph the page again, in grey at 150 or 200 dpi, or enter it by hand",
    )


def _not_opened(path: Path, failure: Failure) -> FileNotReadable:
    return FileNotReadable(
        f"a file that cannot be opened: {failure.said}",
        where=str(path),
        expected="a PDF or picture that opens",
        remedy="scan or photograph the pages again",
    )
