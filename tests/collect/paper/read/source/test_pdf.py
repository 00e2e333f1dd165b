"""Pages of PDF: whether taken out or rendered, they look as a viewer shows them."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from PIL import Image
from tests.collect.paper.read.source.made import (
    as_bytes,
    image_stream,
    many_pages,
    page_pdf,
    page_pixels,
    pdf,
    scan_pdf,
    stream,
    written,
)

from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source import Picture, open_pages, open_scan, picture, streams
from halfpoint.collect.paper.read.source import pdf as pdf_pages
from halfpoint.collect.paper.read.source.limits import LONG_SIDE

PAGE = page_pixels()
SIDE = max(PAGE.shape)
WHOLE = (298, 0, 0, 421, 0, 0)

# A note on the page, as a program for marking up PDFs leaves it.
NOTE = (
    b'<< /Type /Annot /Subtype /Square /Rect [90 90 200 200] /AP << /N 7 0 R >> >>',
    stream('/Type /XObject /Subtype /Form /BBox [0 0 110 110]', b'0 0 110 110 re f'),
)
HALF_SEEN = stream(
    '/Type /XObject /Subtype /Image /Width 2 /Height 1 /ColorSpace /DeviceGray /BitsPerComponent 8',
    b'\xff\x00',
)
FONT = '/Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >>'

# Each way a scan can lie on its page, and whether it can be taken out as it is.
SCANS = {
    'as most scanners write it': (scan_pdf(PAGE), True),
    'upside down by its matrix': (scan_pdf(PAGE, (-298, 0, 0, -421, 298, 421)), True),
    'turned a quarter by its matrix': (scan_pdf(np.rot90(PAGE), (0, -421, 298, 0, 0, 421)), True),
    'turned the other way': (scan_pdf(np.rot90(PAGE, 3), (0, 421, -298, 0, 298, 0)), True),
    'turned by the page': (scan_pdf(PAGE, page='/Rotate 90'), True),
    'turned by the page three times': (scan_pdf(PAGE, page='/Rotate 270'), True),
    'turned by both': (
        scan_pdf(np.rot90(PAGE), (0, -421, 298, 0, 0, 421), page='/Rotate 180'), True,
    ),
    'mirrored': (scan_pdf(PAGE, (-298, 0, 0, 421, 298, 0)), False),
    'top to bottom': (scan_pdf(PAGE, (298, 0, 0, -421, 0, 421)), False),
    'straightened by the scanner': (scan_pdf(PAGE, (297, 9, -9, 420, 4, -4)), False),
    'smaller than its page': (scan_pdf(PAGE, (200, 0, 0, 283, 40, 40)), False),
    'out of square': (scan_pdf(PAGE[::2], (298, 0, 0, 421, 0, 0)), False),
    'black for white': (scan_pdf(PAGE, extra='/Decode [1 0]'), False),
    'black for white, spelled otherwise': (scan_pdf(PAGE, extra='/#44ecode [1 0]'), False),
    'half seen through a mask': (scan_pdf(PAGE, WHOLE, HALF_SEEN, extra='/SMask 6 0 R'), False),
    'with one colour left out': (scan_pdf(PAGE, extra='/Mask [200 255]'), False),
    'cut by a path': (scan_pdf(PAGE, before=b'0 0 150 421 re W n'), False),
    'written over': (scan_pdf(PAGE, after=b'90 90 120 120 re f'), False),
    'with a note on it': (scan_pdf(PAGE, WHOLE, *NOTE, page='/Annots [6 0 R]'), False),
    'half as strong': (
        scan_pdf(PAGE, before=b'/G gs').replace(
            b'/Resources <<', b'/Resources << /ExtGState << /G << /ca 0.5 >> >>'
        ), False,
    ),
    'with words under it that nobody sees': (
        scan_pdf(PAGE, before=b'BT 3 Tr /F 12 Tf 50 50 Td (18) Tj ET').replace(
            b'/Resources <<', f'/Resources << {FONT}'.encode()
        ), True,
    ),
    'with words over it': (
        scan_pdf(PAGE, after=b'BT /F 90 Tf 50 50 Td (18) Tj ET').replace(
            b'/Resources <<', f'/Resources << {FONT}'.encode()
        ), False,
    ),
}  # fmt: skip


def _shown(folder: Path, data: bytes, page: int = 1) -> Picture:
    item = picture(open_scan(written(folder, 'scan.pdf', data)), page)
    assert isinstance(item, Picture)
    return item


def _as_viewed(data: bytes) -> NDArray[np.uint8]:
    """The first page rendered in colour by PDFium, without any of our choices."""
    document = pypdfium2.PdfDocument(data)
    page = document[0]
    bitmap = page.render(scale=3)
    seen = np.asarray(bitmap.to_pil().convert('L'))
    for item in (bitmap, page, document):
        item.close()
    return seen


def _apart(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> float:
    """Mean difference of two pictures of one shape, both made as small as a thumbnail."""
    assert pytest.approx(one.shape[0] / one.shape[1], rel=0.01) == other.shape[0] / other.shape[1]
    width, height = one.shape[1] // 6, one.shape[0] // 6
    small = [
        cv2.resize(item, (width, height), interpolation=cv2.INTER_AREA).astype(float)
        for item in (one, other)
    ]
    return float(np.abs(small[0] - small[1]).mean())


@pytest.mark.parametrize('name', SCANS)
def test_a_scan_looks_as_a_viewer_shows_it(tmp_path: Path, name: str) -> None:
    """Turned, masked, inverted, cut or written over; taken out only where that is the same."""
    data, taken_out = SCANS[name]
    expected = _as_viewed(data)

    pixels = _shown(tmp_path, data).pixels

    assert taken_out == (max(pixels.shape) == SIDE)
    assert 3 > _apart(expected, pixels)


def test_a_scan_taken_out_is_the_jpeg_itself(tmp_path: Path) -> None:
    """Not a pixel is resampled: OpenCV decodes the same from the JPEG alone."""
    data = as_bytes(PAGE, 'JPEG', quality=90)
    expected = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_GRAYSCALE)

    np.testing.assert_array_equal(expected, _shown(tmp_path, scan_pdf(PAGE)).pixels)


def test_a_jpeg_in_four_inks_is_rendered(tmp_path: Path) -> None:
    """What the inks of a CMYK scan mean is left to PDFium."""
    jpeg = as_bytes(Image.fromarray(PAGE).convert('CMYK'), 'JPEG')
    image = image_stream(jpeg, *PAGE.shape[::-1], '/DeviceCMYK', '/Decode [1 0 1 0 1 0 1 0]')
    data = page_pdf(b'298 0 0 421 0 0 cm /Im Do', '/XObject << /Im 5 0 R >>', image)

    pixels = _shown(tmp_path, data).pixels

    assert 2339 == max(pixels.shape)
    assert 3 > _apart(_as_viewed(data), pixels)


def test_scans_are_told_apart_in_any_order(tmp_path: Path) -> None:
    """Pages whose pictures begin alike are each its own, forwards, backwards and again."""
    pages = [Image.fromarray(page_pixels(mark=tone)) for tone in (0, 60, 120, 180)]
    data = as_bytes(pages[0], 'PDF', save_all=True, append_images=pages[1:], quality=90)
    expected = [
        cv2.imdecode(np.frombuffer(as_bytes(page, 'JPEG', quality=90), np.uint8), 0)
        for page in pages
    ]
    with open_pages(open_scan(written(tmp_path, 'four.pdf', data))) as opened:
        for page in (1, 2, 3, 4, 4, 1, 3, 2):
            shown = opened.picture(page)
            assert isinstance(shown, Picture)
            np.testing.assert_array_equal(expected[page - 1], shown.pixels)


def test_pages_are_the_same_where_the_file_is_opened_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between pages, so that memory does not grow with their number: each is read as alone."""
    scan = open_scan(written(tmp_path, 'many.pdf', many_pages(5, share=5)))
    alone = [picture(scan, page) for page in range(1, 6)]
    opened: list[Path] = []
    document = pypdfium2.PdfDocument

    def counted(path: Path) -> pypdfium2.PdfDocument:
        opened.append(path)
        return document(path)

    monkeypatch.setattr(pypdfium2, 'PdfDocument', counted)
    monkeypatch.setattr(pdf_pages, '_PAGES_AT_A_TIME', 2)
    with open_pages(scan) as pages:
        together = [pages.picture(page) for page in range(1, 6)]
    assert [scan.path] * 3 == opened
    for one, other in zip(alone, together, strict=True):
        assert isinstance(one, Picture)
        assert isinstance(other, Picture)
        np.testing.assert_array_equal(one.pixels, other.pixels)


def test_a_scan_not_found_in_the_file_is_rendered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without its dictionary at hand nobody knows what the JPEG looks like."""
    monkeypatch.setattr(streams, '_AFTER_LAST', (10,))
    monkeypatch.setattr(streams, '_AROUND_GUESS', (20,))

    shown = _shown(tmp_path, scan_pdf(PAGE, before=b' ' * 5_000))

    assert 2339 == max(shown.pixels.shape)


def test_a_page_that_is_no_scan_is_rendered_at_200_dpi(tmp_path: Path) -> None:
    """A4 has 1,654 by 2,339 pixels then, 25.4 mm being 200."""
    shown = _shown(tmp_path, page_pdf(b'0 0 m 595 842 l S', box=(0, 0, 595.28, 841.89)))

    assert (2339, 1654) == shown.pixels.shape
    assert shown.pixels.min() < 128
    assert not shown.bilevel


@pytest.mark.parametrize(
    'box', [(0, 0, 14_400, 14_400), (0, 0, 36_000, 50), (0, 0, 5, 7), (0, 0, 2480, 3508)]
)
def test_no_size_of_page_makes_a_large_picture(tmp_path: Path, box: tuple[float, ...]) -> None:
    """Five metres of paper, or a page whose points are meant as pixels, stay in bounds."""
    shown = _shown(tmp_path, page_pdf(b'1 1 m 4 4 l S', box=box))

    assert 100 <= max(shown.pixels.shape) <= LONG_SIDE


def test_an_image_far_too_large_is_held_wherever_it_is(tmp_path: Path) -> None:
    """50,000 pixels a side, within a form on the page, are never decoded."""
    image = stream(
        '/Type /XObject /Subtype /Image /Width 50000 /Height 50000 /ColorSpace /DeviceGray '
        '/BitsPerComponent 8 /Filter /FlateDecode',
        b'x',
    )
    form = stream(
        '/Type /XObject /Subtype /Form /BBox [0 0 9 9] /Resources << /XObject << /Im 6 0 R >> >>',
        b'/Im Do',
    )
    data = page_pdf(b'/Fm Do', '/XObject << /Fm 5 0 R >>', form, image)

    held = picture(open_scan(written(tmp_path, 'bomb.pdf', data)), 1)

    assert isinstance(held, HeldPage)
    assert 'too-large' == held.reason
    assert "50,000" in held.found


def test_a_page_of_very_many_things_is_held(tmp_path: Path) -> None:
    """A drawing with more strokes than any sheet is not rendered."""
    data = page_pdf(b'0 0 m 9 9 l S ' * 100_001)

    held = picture(open_scan(written(tmp_path, 'drawing.pdf', data)), 1)

    assert isinstance(held, HeldPage)
    assert 'too-large' == held.reason


@pytest.mark.parametrize('strips', [1, 4])
def test_one_bit_a_pixel_in_a_pdf_is_black_and_white(tmp_path: Path, strips: int) -> None:
    """Also where the scanner cut the page in strips; rendering makes greys at the edges."""
    parts = np.array_split(PAGE > 128, strips)
    images, content, bottom = [], b'', 421.0
    for number, part in enumerate(parts):
        height = 421 * len(part) / len(PAGE)
        bottom -= height
        entries = f'/Type /XObject /Subtype /Image /Width {part.shape[1]} /Height {len(part)} '
        entries += '/ColorSpace /DeviceGray /BitsPerComponent 1'
        images.append(stream(entries, np.packbits(part, axis=1).tobytes()))
        content += b'q 298 0 0 %.3f 0 %.3f cm /I%d Do Q ' % (height, bottom, number)
    names = ' '.join(f'/I{number} {5 + number} 0 R' for number in range(strips))

    shown = _shown(tmp_path, page_pdf(content, f'/XObject << {names} >>', *images))

    assert shown.bilevel


def test_a_small_black_and_white_logo_is_no_scan(tmp_path: Path) -> None:
    """A drawn page with a one-bit picture in a corner is not taken for a scan."""
    logo = stream(
        '/Type /XObject /Subtype /Image /Width 8 /Height 2 /ColorSpace /DeviceGray '
        '/BitsPerComponent 1',
        b'\xaa\x55',
    )
    data = page_pdf(b'50 0 0 50 9 9 cm /Im Do', '/XObject << /Im 5 0 R >>', logo)

    assert not _shown(tmp_path, data).bilevel


def test_a_damaged_page_leaves_the_others(tmp_path: Path) -> None:
    """A page that is not there is held; the pages around it are read."""
    leaf = b'<< /Type /Page /Parent 2 0 R /MediaBox [0 0 298 421] >>'
    data = pdf(
        [
            b'<< /Type /Catalog /Pages 2 0 R >>',
            b'<< /Type /Pages /Kids [3 0 R 5 0 R 4 0 R] /Count 3 >>',
            leaf,
            leaf,
            b'(no page)',
        ]
    )
    with open_pages(open_scan(written(tmp_path, 'scan.pdf', data))) as pages:
        shown = [pages.picture(page) for page in (1, 2, 3)]

    assert isinstance(shown[0], Picture)
    assert isinstance(shown[1], HeldPage)
    assert 'unreadable' == shown[1].reason


def test_a_cut_jpeg_inside_a_whole_pdf_is_held(tmp_path: Path) -> None:
    """Half a scan is not taken for a page with nothing on its lower half."""
    jpeg = as_bytes(PAGE, 'JPEG')
    image = image_stream(jpeg[: len(jpeg) // 2], *PAGE.shape[::-1])
    data = page_pdf(b'298 0 0 421 0 0 cm /Im Do', '/XObject << /Im 5 0 R >>', image)

    held = picture(open_scan(written(tmp_path, 'scan.pdf', data)), 1)

    assert isinstance(held, HeldPage)
    assert 'unreadable' == held.reason


def test_the_reader_lets_go_of_the_file(tmp_path: Path) -> None:
    """After closing, a picture opens the file anew; no file stays open."""
    scan = open_scan(written(tmp_path, 'scan.pdf', scan_pdf(PAGE)))
    reader = open_pages(scan)
    before = len(list(Path('/proc/self/fd').iterdir()))

    counts = []
    for _ in range(3):
        assert isinstance(reader.picture(1), Picture)
        reader.close()
        counts.append(len(list(Path('/proc/self/fd').iterdir())))

    assert all(one == other for one, other in pairwise([before, *counts]))
