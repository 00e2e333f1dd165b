"""A file opened and its pages read one after another, in a process of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from halfpoint.collect.paper.read.model import HeldPage, Outcome
from halfpoint.collect.paper.read.source import (
    Picture,
    Reader,
    ScanFile,
    limit_memory,
    open_pages,
    open_scan,
)
from halfpoint.errors import InputError

Read = Callable[[Picture], Outcome]


@dataclass(frozen=True, slots=True)
class PageTask:
    """A page of a file, from 1."""

    scan: ScanFile
    page: int


class FilePages:
    """Reads pages of files one after another; the last file stays open."""

    def __init__(self, read: Read) -> None:
        self._read = read
        self._pages: Reader | None = None

    def __call__(self, task: PageTask) -> Outcome:
        """The reading of one page, or why it is held."""
        picture = self._of(task.scan).picture(task.page)
        return picture if isinstance(picture, HeldPage) else self._read(picture)

    def _of(self, scan: ScanFile) -> Reader:
        if self._pages is None or self._pages.scan != scan:
            if self._pages is not None:
                self._pages.close()
            self._pages = open_pages(scan)
        return self._pages


def open_file(path: Path) -> ScanFile | InputError:
    """The file, or why it cannot be read."""
    try:
        return open_scan(path)
    except InputError as refusal:
        return refusal


def file_opener() -> Callable[[Path], ScanFile | InputError]:
    """What opens files, in a process of its own: a hostile file ends no more than that."""
    limit_memory()
    return open_file
