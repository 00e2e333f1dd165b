"""Many files to the readings of their pages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import poor_readers
import pytest
from PIL import Image

from halfpoint.collect.paper.read.batch import Batch
from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source import ScanFile
from halfpoint.errors import FileNotReadable, InputError


@pytest.fixture(scope='module')
def batch() -> Iterator[Batch]:
    """Two reading processes and one that opens files."""
    with Batch(poor_readers.make, workers=2, seconds_a_page=2) as made:
        yield made


def scan(path: Path, *greys: int) -> Path:
    """A file of plain grey pages."""
    first, *others = [Image.new('L', (60, 80), grey) for grey in greys]
    first.save(path, **({'save_all': True, 'append_images': others} if others else {}))
    return path


def read(
    batch: Batch, paths: Sequence[Path], known: Sequence[tuple[str, int]] = ()
) -> tuple[list[tuple[str, int, str, str]], dict[str, InputError]]:
    """File, page, reason and what was found of every page, and the files refused."""
    refused: dict[str, InputError] = {}

    def wanted(scan: ScanFile) -> list[int]:
        return [page for page in range(1, scan.pages + 1) if (scan.name, page) not in known]

    done = batch.read(
        paths, wanted=wanted, refused=lambda path, why: refused.update({path.name: why})
    )
    pages = []
    for each in done:
        assert isinstance(each.outcome, HeldPage)
        pages.append((each.scan.name, each.page, each.outcome.reason, each.outcome.found))
    return pages, refused


def test_pages_of_many_files_come_in_order(batch: Batch, tmp_path: Path) -> None:
    """Each page of each file is read once, in the order of files and pages."""
    paths = [scan(tmp_path / f'{n}.tiff', 100 + n, 150 + n, 200 + n) for n in range(30)]
    expected = [
        (f'{n}.tiff', page, 'stranger', str(50 + 50 * page + n))
        for n in range(30)
        for page in (1, 2, 3)
    ]
    assert (expected, {}) == read(batch, paths)


def test_a_page_that_kills_or_hangs_the_reader_is_held(batch: Batch, tmp_path: Path) -> None:
    """Crash, hang and lack of memory cost one page each, which is held with a reason."""
    greys = [100, poor_readers.CRASH, 101, poor_readers.HANG, 102, poor_readers.MEMORY, 103]
    pages, refused = read(batch, [scan(tmp_path / 'bad.tiff', *greys)])

    assert {} == refused
    assert list(range(1, 8)) == [page for _, page, _, _ in pages]
    reasons = ['crashed' if g in {10, 30} else 'too-slow' if g == 20 else 'stranger' for g in greys]
    assert reasons == [reason for _, _, reason, _ in pages]
    said = [found for _, _, _, found in pages]
    assert 'a page that makes the reader stop: the process reading it ended (SIGSEGV)' == said[1]
    assert 'a page that takes too long: reading it takes more than 2 seconds' == said[3]
    assert 'more memory than there is' in said[5]


def test_a_file_that_cannot_be_read_is_named_and_the_rest_goes_on(
    batch: Batch, tmp_path: Path
) -> None:
    """Refusals come beside the pages of the other files."""
    (tmp_path / 'note.pdf').write_text('no scan')
    paths = [tmp_path / 'gone.png', scan(tmp_path / 'a.png', 99), tmp_path / 'note.pdf']
    pages, refused = read(batch, [*paths, scan(tmp_path / 'b.png', 98)])

    assert [('a.png', 1, 'stranger', '99'), ('b.png', 1, 'stranger', '98')] == pages
    assert ['gone.png', 'note.pdf'] == list(refused)
    assert isinstance(refused['gone.png'], FileNotReadable)


def test_only_wanted_pages_are_read(batch: Batch, tmp_path: Path) -> None:
    """What is known already is passed over, page by page."""
    path = scan(tmp_path / 'a.tiff', 91, 92, 93)
    pages, _ = read(batch, [path], known=[('a.tiff', 1), ('a.tiff', 3)])

    assert [('a.tiff', 2, 'stranger', '92')] == pages
