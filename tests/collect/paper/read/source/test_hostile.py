"""Files made to crash, hang or fill the memory of whoever opens them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image
from tests.collect.paper.read.source.made import (
    as_bytes,
    hostile_pdfs,
    page_pdf,
    page_pixels,
    stream,
    written,
)

from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source import Picture, open_pages, open_scan
from halfpoint.collect.paper.read.source.limits import LONG_SIDE
from halfpoint.errors import NotAScan

READ_ONE = """
import sys
from pathlib import Path
from halfpoint.collect.paper.read.source import hush_decoders, limit_memory
from halfpoint.collect.paper.read.source import open_scan, picture
limit_memory(300_000_000)
hush_decoders()
print(type(picture(open_scan(Path(sys.argv[1])), 1)).__name__)
"""


@pytest.mark.parametrize('name', hostile_pdfs())
def test_a_hostile_pdf_is_refused_held_or_shown(tmp_path: Path, name: str) -> None:
    """First and last page, and nothing but a picture in bounds or words about what is wrong."""
    path = written(tmp_path, 'hostile.pdf', hostile_pdfs()[name])
    try:
        scan = open_scan(path)
    except NotAScan:
        return
    with open_pages(scan) as pages:
        for page in {1, scan.pages}:
            item = pages.picture(page)
            assert isinstance(item, Picture | HeldPage)
            assert isinstance(item, HeldPage) or max(item.pixels.shape) <= LONG_SIDE


def test_decoders_that_complain_are_not_heard(tmp_path: Path) -> None:
    """libtiff writes to standard error of a damaged fax, over whatever is on the screen."""
    page = Image.fromarray(page_pixels()).convert('1')
    fax = bytearray(as_bytes(page, 'TIFF', compression='group4'))
    fax[len(fax) // 2 : len(fax) // 2 + 32] = b'\x5a' * 32
    path = written(tmp_path, 'fax.tif', bytes(fax))
    loud = READ_ONE.replace('hush_decoders()', '')

    heard, hushed = (
        subprocess.run(
            [sys.executable, '-c', code, path], capture_output=True, check=True, text=True
        ).stderr
        for code in (loud, READ_ONE)
    )

    assert heard
    assert not hushed


def test_a_limit_on_memory_ends_the_worker_and_not_the_machine(tmp_path: Path) -> None:
    """Forms that draw themselves twice grow without end in PDFium: the worker alone pays."""
    form = stream(
        '/Type /XObject /Subtype /Form /BBox [0 0 9 9] /Resources << /XObject << /F 5 0 R >> >>',
        b'/F Do /F Do',
    )
    hostile = written(tmp_path, 'hostile.pdf', page_pdf(b'/F Do', '/XObject << /F 5 0 R >>', form))
    harmless = written(tmp_path, 'harmless.pdf', page_pdf(b'0 0 m 9 9 l S'))

    crashed, fine = (
        subprocess.run(
            [sys.executable, '-c', READ_ONE, path],
            capture_output=True,
            check=False,
            text=True,
            timeout=100,
        )
        for path in (hostile, harmless)
    )

    assert (0, 'Picture\n') == (fine.returncode, fine.stdout)
    assert crashed.returncode != 0 or 'HeldPage\n' == crashed.stdout
