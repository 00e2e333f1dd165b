"""Many files to the readings of their pages, over processes, in the order of the files."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from halfpoint.collect.paper.read.file_pages import PageTask, file_opener
from halfpoint.collect.paper.read.model import HeldPage, Outcome
from halfpoint.collect.paper.read.pool import CRASHED, Failure, Pool
from halfpoint.collect.paper.read.source import ScanFile
from halfpoint.errors import FileNotReadable, InputError

# Pages recorded at a time: a crash loses no more than so many readings, and no page.
BATCH = 16
MOST_WORKERS = 8
SECONDS_A_PAGE = 60.0
# A file is read through once for its digest; a large one on a slow disk takes its time.
SECONDS_A_FILE = 600.0


@dataclass(frozen=True, slots=True)
class PageDone:
    """A page of a file, and what reading it gave."""

    scan: ScanFile
    page: int
    outcome: Outcome


class Batch:
    """The processes that read: one opens files, `workers` read pages. A context manager."""

    def __init__(
        self,
        make: Callable[[], Callable[[PageTask], Outcome]],
        *,
        workers: int,
        seconds_a_page: float = SECONDS_A_PAGE,
    ) -> None:
        self._opener = Pool(file_opener, workers=1, seconds=SECONDS_A_FILE)
        self._readers = Pool(make, workers=workers, seconds=seconds_a_page)

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
        for task, result in self._readers.results(self._tasks(paths, wanted, refused)):
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
