"""Any bytes at all are shown, held, or refused; nothing else ever happens."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from tests.collect.paper.read.source.made import as_bytes, many_pages, page_pixels, scan_pdf

from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source import Picture, ScanFile, open_pages, open_scan
from halfpoint.collect.paper.read.source.limits import LONG_SIDE
from halfpoint.errors import NotAScan

# The same bytes every time: a decoder that crashes would take all other tests with it.
anything = settings(
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    max_examples=60,
    derandomize=True,
)
STARTS = [
    b'', b'%PDF-1.7\n', b'\xff\xd8\xff\xe0', b'\x89PNG\r\n\x1a\n', b'II*\0', b'MM\0*', b'BM',
    b'RIFF\xff\0\0\0WEBP', b'\0\0\0\x18ftypheic', b'\0\0\0\x18ftypavif', b'P5\n9 9\n255\n',
]  # fmt: skip
FLIPS = st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.integers(1, 255)), max_size=8)


@cache
def good(kind: str) -> bytes:
    """A small file of a kind that is read without trouble."""
    page = page_pixels(130, 180)
    if kind == 'tiff':
        frame = Image.fromarray(page).convert('1')
        return as_bytes(frame, 'TIFF', save_all=True, append_images=[frame], compression='group4')
    made = {'scan': scan_pdf(page), 'drawn': many_pages(10, share=5)}
    return made.get(kind) or as_bytes(page, kind.upper())


def _read(folder: Path, data: bytes) -> None:
    path = folder / 'scan'
    path.write_bytes(data)
    scan = _opened(path)
    if isinstance(scan, NotAScan):
        assert scan.found
        assert scan.expected
        assert scan.remedy
        return
    with open_pages(scan) as pages:
        for page in {1, scan.pages}:
            _check(pages.picture(page))


def _opened(path: Path) -> ScanFile | NotAScan:
    try:
        return open_scan(path)
    except NotAScan as refused:
        return refused


def _check(item: Picture | HeldPage) -> None:
    if isinstance(item, HeldPage):
        assert item.reason in {'unreadable', 'too-large'}
        assert item.found
        assert item.expected
        assert item.remedy
    else:
        assert 2 == item.pixels.ndim
        assert 1 <= min(item.pixels.shape) <= max(item.pixels.shape) <= LONG_SIDE


@anything
@given(start=st.sampled_from(STARTS), data=st.binary(max_size=300))
def test_random_bytes(tmp_path: Path, start: bytes, data: bytes) -> None:
    """Random bytes, also behind the first bytes of each kind."""
    _read(tmp_path, start + data)


@pytest.mark.parametrize(
    'kind', ['jpeg', 'png', 'tiff', 'webp', 'bmp', 'ppm', 'heif', 'avif', 'scan', 'drawn']
)
@anything
@given(keep=st.floats(0, 1), flips=FLIPS)
def test_good_files_cut_and_damaged(
    tmp_path: Path, kind: str, keep: float, flips: list[tuple[float, int]]
) -> None:
    """Files that were fine, with some bytes changed and the end gone, or not."""
    data = bytearray(good(kind))
    for share, change in flips:
        data[int(share * len(data))] ^= change
    _read(tmp_path, bytes(data[: max(int(min(keep * 1.5, 1) * len(data)), 1)]))
