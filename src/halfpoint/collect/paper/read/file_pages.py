"""A file opened and its pages read one after another, in a process of its own."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from halfpoint.collect.paper.read.model import HeldPage, Outcome
from halfpoint.collect.paper.read.source import Picture, ScanFile, open_pages, open_scan
from halfpoint.errors import InputError

Read = Callable[[Picture], Outcome]


@dataclass(frozen=True, slots=True)
class PageTask:
    """A page of a file, from 1."""

    scan: ScanFile
    page: int


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


def open_file(path: Path) -> ScanFile | InputError:
    """The file, or why it cannot be read."""
    try:
        return open_scan(path)
    except InputError as refusal:
        return refusal


def file_opener() -> Callable[[Path], ScanFile | InputError]:
    """What opens files, in a process of its own: a hostile file ends no more than that."""
    return open_file
