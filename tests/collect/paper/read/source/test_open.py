"""From a path to a scan, or to a refusal that says what is wrong with the file."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.collect.paper.read.source.made import (
    as_bytes,
    encrypted_pdf,
    many_pages,
    page_pdf,
    page_pixels,
    pdf,
    png_that_says,
    scan_pdf,
    written,
)

from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source import Picture, open_pages, open_scan, picture
from halfpoint.collect.paper.read.source import open as opening
from halfpoint.errors import FileNotReadable, NotAScan

SMALL = page_pixels(200, 280)


@pytest.mark.parametrize(
    ('kind', 'form'),
    [
        ('jpeg', 'JPEG'), ('png', 'PNG'), ('tiff', 'TIFF'), ('webp', 'WEBP'), ('bmp', 'BMP'),
        ('pnm', 'PPM'), ('avif', 'AVIF'), ('heic', 'HEIF'), ('pdf', 'PDF'),
    ],
)  # fmt: skip
def test_the_kind_is_told_by_the_bytes(tmp_path: Path, kind: str, form: str) -> None:
    """A name that says something else changes nothing, and the digest is that of all bytes."""
    assert opening.heic_can_be_opened()
    data = as_bytes(SMALL, form)
    path = written(tmp_path, 'scan.txt', data)

    scan = open_scan(path)

    assert (path, 'scan.txt', kind, 1) == (scan.path, scan.name, scan.kind, scan.pages)
    assert hashlib.sha256(data).hexdigest() == scan.digest
    assert isinstance(picture(scan, 1), Picture)


@pytest.mark.parametrize(
    ('name', 'data', 'found'),
    [
        ('empty.pdf', b'', "an empty file"),
        ('zeros.jpg', bytes(5000), "neither a PDF nor a picture"),
        ('table.csv', b'taster,wine,mark\nA,298,4.5\n', "neither a PDF nor a picture"),
        ('locked.pdf', encrypted_pdf(b'secret'), "an encrypted PDF"),
        ('half.pdf', scan_pdf(SMALL)[:-4000], "a PDF that is cut off: its end is missing"),
        ('tail.pdf', b'%PDF-1.7\nstartxref\n0\n%%EOF', "a damaged PDF file"),
        ('no pages.pdf', pdf([b'<< /Type /Catalog /Pages 2 0 R >>', b'<< /Kids [] >>']),
         "a damaged PDF file"),
        ('start.jpg', b'\xff\xd8\xff\xe0', "a damaged JPEG file"),
        ('start.png', b'\x89PNG\r\n\x1a\n', "a damaged PNG file"),
        ('start.tif', b'II*\0', "a damaged TIFF file"),
        ('start.heic', b'\0\0\0\x18ftypheic', "a damaged HEIC file"),
        ('start.webp', b'RIFF\0\0\0\0WEBP', "a damaged WEBP file"),
        ('picture.svg', b'<svg xmlns="http://www.w3.org/2000/svg"/>',
         "neither a PDF nor a picture"),
        ('page.ps', b'%!PS-Adobe-3.0\n', "neither a PDF nor a picture"),
    ],
)  # fmt: skip
def test_what_is_no_scan_is_refused_by_name(
    tmp_path: Path, name: str, data: bytes, found: str
) -> None:
    """Each refusal says what was found, in which file, and what to do."""
    with pytest.raises(NotAScan) as refused:
        open_scan(written(tmp_path, name, data))

    assert (found, name) == (refused.value.found, refused.value.where)
    assert refused.value.expected
    assert refused.value.remedy
    assert 17 == refused.value.exit_code


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    """Missing, a folder, a pipe: none is opened, and a pipe is not waited for."""
    os.mkfifo(tmp_path / 'pipe')

    for path, found in (
        (tmp_path / 'nowhere.pdf', "no such file"),
        (tmp_path, "a folder"),
        (tmp_path / 'pipe', "a device or a pipe"),
        (tmp_path / ('long' * 100), "a file that cannot be read (File name too long)"),
        (Path('nul\0'), "a file that cannot be read (embedded null byte)"),
    ):
        with pytest.raises(FileNotReadable) as refused:
            open_scan(path)
        assert found == refused.value.found


def test_a_file_that_may_not_be_read_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The refusal is of the file, whoever runs the tests."""

    def forbid(*_: object, **__: object) -> None:
        raise PermissionError

    path = written(tmp_path, 'scan.pdf', scan_pdf(SMALL))
    monkeypatch.setattr(Path, 'open', forbid)
    with pytest.raises(FileNotReadable, match="may not be read"):
        open_scan(path)


def test_a_pdf_with_an_owner_password_only_is_read(tmp_path: Path) -> None:
    """What opens without a password is not refused for being encrypted."""
    scan = open_scan(written(tmp_path, 'open.pdf', encrypted_pdf(b'')))

    shown = picture(scan, 1)

    assert isinstance(shown, Picture)
    assert shown.pixels.min() < 100


def test_heic_without_its_library_is_refused_with_a_remedy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The message says how to get on."""
    path = written(tmp_path, 'photo.heic', as_bytes(SMALL, 'HEIF'))
    monkeypatch.setattr(opening, 'heic_can_be_opened', lambda: False)

    with pytest.raises(NotAScan) as refused:
        open_scan(path)

    assert "JPEG" in refused.value.remedy


def test_a_pdf_of_ten_thousand_pages_is_opened_at_any_page(tmp_path: Path) -> None:
    """The page asked for is there, and one past the end is held."""
    scan = open_scan(written(tmp_path, 'long.pdf', many_pages(10_000)))

    assert 10_000 == scan.pages
    with open_pages(scan) as pages:
        assert isinstance(pages.picture(10_000), Picture)
        assert isinstance(pages.picture(4_711), Picture)
        past = pages.picture(10_001)
    assert isinstance(past, HeldPage)
    assert "no page 10001" == past.found


def test_more_pages_than_any_tasting_has_are_refused(tmp_path: Path) -> None:
    """A page tree that claims 900,000 pages makes no 900,000 held pages."""
    claimed = page_pdf(b'').replace(b'/Count 1', b'/Count 900000')

    with pytest.raises(NotAScan, match="900,000 pages"):
        open_scan(written(tmp_path, 'claim.pdf', claimed))


def test_every_page_of_a_tiff_is_counted(tmp_path: Path) -> None:
    """A multi-page TIFF has as many pages as pictures."""
    frames = [Image.fromarray(np.full((90, 60), tone, np.uint8)) for tone in (10, 120, 250)]
    data = as_bytes(frames[0], 'TIFF', save_all=True, append_images=frames[1:])

    scan = open_scan(written(tmp_path, 'three.tif', data))

    assert 3 == scan.pages
    with open_pages(scan) as pages:
        shown = [pages.picture(page) for page in (3, 1, 2)]
    assert [250, 10, 120] == [item.pixels[5, 5] for item in shown if isinstance(item, Picture)]


def test_a_bomb_is_opened_and_its_page_held(tmp_path: Path) -> None:
    """A header that claims 40 billion pixels costs nothing; the page is held as too large."""
    scan = open_scan(written(tmp_path, 'bomb.png', png_that_says(200_000, 200_000)))

    held = picture(scan, 1)

    assert 1 == scan.pages
    assert isinstance(held, HeldPage)
    assert 'too-large' == held.reason
