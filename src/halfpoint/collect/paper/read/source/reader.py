"""The pages of a scan, one after another or any one: a picture of each, or why there is none."""

from __future__ import annotations

import warnings
from typing import Protocol, Self

from PIL import Image

from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source.held import no_such_page, too_much_memory, unreadable
from halfpoint.collect.paper.read.source.images import ImagePages
from halfpoint.collect.paper.read.source.pdf import PdfPages
from halfpoint.collect.paper.read.source.scan import Picture, ScanFile


class _Pages(Protocol):
    def picture(self, page: int) -> Picture | HeldPage: ...

    def close(self) -> None: ...


class Reader:
    """The pages of a scan; the file is opened at the first picture and stays so until `close`.

    Nothing raises: a file that is gone or damaged by now gives a `HeldPage` for each page. What
    crashes or hangs a decoder takes its process with it: read in a process of your own and
    give a page `SECONDS_A_PAGE`.
    """

    def __init__(self, scan: ScanFile) -> None:
        self.scan = scan
        self._pages: _Pages | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *trouble: object) -> None:
        self.close()

    def picture(self, page: int) -> Picture | HeldPage:
        """The picture of a page, counted from 1, or why there is none."""
        if not 1 <= page <= self.scan.pages:
            return no_such_page(page, self.scan.pages)
        try:
            with warnings.catch_warnings():
                # Decoders warn of oddities that a picture survives, and of sizes checked here.
                warnings.simplefilter('ignore')
                return self._opened().picture(page)
        except (MemoryError, Image.DecompressionBombError):
            return too_much_memory()
        except Exception as trouble:
            # Damaged bytes make decoders raise anything, struct.error and KeyError included.
            return unreadable(str(trouble) or type(trouble).__name__)

    def _opened(self) -> _Pages:
        if self._pages is None:
            path, kind = self.scan.path, self.scan.kind
            self._pages = PdfPages(path) if kind == 'pdf' else ImagePages(path, kind)
        return self._pages

    def close(self) -> None:
        """Let go of the file."""
        if self._pages is not None:
            self._pages.close()
            self._pages = None


def open_pages(scan: ScanFile) -> Reader:
    """The pages of a scan, open until the reader is closed; best in a `with` block."""
    return Reader(scan)


def picture(scan: ScanFile, page: int) -> Picture | HeldPage:
    """One picture, counted from 1; for several of one scan, `open_pages` opens the file once."""
    with open_pages(scan) as pages:
        return pages.picture(page)
