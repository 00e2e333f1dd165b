"""Pictures out of image files: every depth and mode in grey, and nothing too large decoded."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from tests.collect.paper.read.source.made import (
    as_bytes,
    jpeg_that_says,
    page_pixels,
    png_that_says,
    written,
)

from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source import Picture, open_pages, open_scan, picture
from halfpoint.collect.paper.read.source.limits import LONG_SIDE, MOST_SIDE
from halfpoint.errors import NotAScan

PAGE = page_pixels()

# Kinds whose header cannot be understood without the end of the file.
REFUSED_WHEN_CUT = {'WEBP', 'AVIF'}


def _shown(folder: Path, data: bytes) -> Picture:
    item = picture(open_scan(written(folder, 'file', data)), 1)
    assert isinstance(item, Picture)
    return item


def _held(folder: Path, data: bytes) -> HeldPage:
    item = picture(open_scan(written(folder, 'file', data)), 1)
    assert isinstance(item, HeldPage)
    assert item.found
    assert item.expected
    assert item.remedy
    return item


def _far(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> float:
    return float(np.abs(one.astype(float) - other).max())


def _rgba() -> Image.Image:
    """The page in ink of full strength on nothing."""
    ink = np.zeros((*PAGE.shape, 4), dtype=np.uint8)
    ink[..., 3] = 255 - PAGE
    return Image.fromarray(ink)


def _palette() -> Image.Image:
    return Image.fromarray(PAGE).convert('RGB').quantize(256)


@pytest.mark.parametrize(
    ('image', 'within'),
    [
        (Image.fromarray(PAGE), 0),
        (Image.fromarray(PAGE).convert('RGB'), 1),
        (Image.fromarray(PAGE).convert('RGBA'), 1),
        (Image.fromarray(PAGE.astype(np.uint16) * 257), 1),
        (_rgba(), 2),
        (_palette(), 3),
    ],
)
def test_a_png_of_any_mode_is_the_same_in_grey(
    tmp_path: Path, image: Image.Image, within: float
) -> None:
    """16 bits, colour, a palette and ink on transparent ground all show the page."""
    shown = _shown(tmp_path, as_bytes(image, 'PNG'))

    assert np.uint8 == shown.pixels.dtype
    assert shown.pixels.flags.c_contiguous
    assert within >= _far(PAGE, shown.pixels)
    assert not shown.bilevel


def test_a_palette_may_be_transparent(tmp_path: Path) -> None:
    """The colour that a palette declares to be nothing is white."""
    image = Image.new('P', (60, 40), 1)
    image.putpalette([0, 0, 0, 10, 10, 10])

    assert 255 == _shown(tmp_path, as_bytes(image, 'PNG', transparency=1)).pixels.min()


@pytest.mark.parametrize(
    ('mode', 'compression'),
    [
        ('1', 'group4'), ('1', 'group3'), ('1', 'raw'), ('1', 'packbits'), ('L', 'tiff_lzw'),
        ('L', 'tiff_adobe_deflate'), ('L', 'packbits'), ('L', 'raw'), ('RGB', 'jpeg'),
        ('I;16', 'raw'), ('F', 'raw'), ('CMYK', 'raw'),
    ],
)  # fmt: skip
def test_a_tiff_of_any_compression_is_read(tmp_path: Path, mode: str, compression: str) -> None:
    """What a fax or a scanner writes is shown; one bit per pixel is black and white."""
    deep = PAGE.astype(np.uint16) * 16 if mode == 'I;16' else PAGE.astype(np.float32) / 255
    image = Image.fromarray(deep) if mode in {'I;16', 'F'} else Image.fromarray(PAGE).convert(mode)

    shown = _shown(tmp_path, as_bytes(image, 'TIFF', compression=compression))

    assert PAGE.shape == shown.pixels.shape
    assert (mode == '1') == shown.bilevel
    expected = np.asarray(image.convert('L')) if mode == '1' else PAGE
    assert (60 if compression == 'jpeg' else 1) >= _far(expected, shown.pixels)


@pytest.mark.parametrize('colours', ['L', 'RGB', 'CMYK'])
def test_a_jpeg_is_decoded_as_another_decoder_does(tmp_path: Path, colours: str) -> None:
    """OpenCV gives the same grey."""
    data = as_bytes(Image.fromarray(PAGE).convert(colours), 'JPEG', quality=70)
    expected = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_GRAYSCALE)

    assert 2 >= _far(np.asarray(expected), _shown(tmp_path, data).pixels)


@pytest.mark.parametrize('turn', [1, 3, 6, 8, 99])
def test_a_turned_photograph_is_read_as_it_is_stored(tmp_path: Path, turn: int) -> None:
    """What a telephone notes about its position changes nothing, even nonsense."""
    notes = Image.Exif()
    notes[0x0112] = turn

    shown = _shown(tmp_path, as_bytes(PAGE, 'JPEG', exif=notes))

    assert PAGE.shape == shown.pixels.shape


@pytest.mark.parametrize(
    ('size', 'long_side'),
    [((3000, 4000), LONG_SIDE), ((6000, 8000), LONG_SIDE), ((5001, 7013), 3506), ((9, 9), 9)],
)
def test_a_large_photograph_becomes_as_small_as_needed(
    tmp_path: Path, size: tuple[int, int], long_side: int
) -> None:
    """The long side is at most 3,600 pixels, the page whole and in shape."""
    width, height = size
    image = Image.fromarray(PAGE).resize(size)
    expected = np.asarray(Image.fromarray(PAGE).resize((60, 80), Image.Resampling.BOX))

    pixels = _shown(tmp_path, as_bytes(image, 'JPEG', quality=60)).pixels

    assert long_side == max(pixels.shape)
    assert pytest.approx(width / height, rel=1e-3) == pixels.shape[1] / pixels.shape[0]
    small = cv2.resize(pixels, (60, 80), interpolation=cv2.INTER_AREA)
    assert size == (9, 9) or 6 > np.abs(small.astype(float) - expected).mean()


@pytest.mark.parametrize(
    'data',
    [
        png_that_says(50_000, 100),
        png_that_says(12_000, 12_000),
        jpeg_that_says(50_000, 4_000),
        jpeg_that_says(MOST_SIDE + 1, 10),
        as_bytes(Image.new('1', (50_000, 500)), 'TIFF', compression='group4'),
    ],
)
def test_what_is_far_too_large_is_held(tmp_path: Path, data: bytes) -> None:
    """A page 50,000 pixels wide, and bombs of pixels, are held by what their header says."""
    assert 'too-large' == _held(tmp_path, data).reason


@pytest.mark.parametrize('form', ['JPEG', 'PNG', 'TIFF', 'WEBP', 'BMP', 'PPM', 'HEIF', 'AVIF'])
def test_a_picture_cut_off_is_held(tmp_path: Path, form: str) -> None:
    """Half a page is not taken for a page."""
    data = as_bytes(PAGE, form)
    path = written(tmp_path, 'file', data[: len(data) * 6 // 10])
    if form in REFUSED_WHEN_CUT:
        with pytest.raises(NotAScan):
            open_scan(path)
        return
    held = picture(open_scan(path), 1)

    assert isinstance(held, HeldPage)
    assert 'unreadable' == held.reason


def test_a_file_that_goes_away_is_held(tmp_path: Path) -> None:
    """Between finding a file and reading it a stick may have been pulled out."""
    path = written(tmp_path, 'page.png', as_bytes(PAGE, 'PNG'))
    scan = open_scan(path)
    path.unlink()

    held = picture(scan, 1)

    assert isinstance(held, HeldPage)
    assert 'unreadable' == held.reason


def test_a_page_of_a_tiff_that_is_too_large_leaves_the_others(tmp_path: Path) -> None:
    """Each page is looked at before it is decoded, not only the first."""
    frames = [Image.new('1', size, 1) for size in ((60, 40), (40_000, 20), (60, 40))]
    data = as_bytes(
        frames[0], 'TIFF', save_all=True, append_images=frames[1:], compression='group4'
    )
    with open_pages(open_scan(written(tmp_path, 'three.tif', data))) as pages:
        shown = [type(pages.picture(page)) for page in (1, 2, 3)]

    assert [Picture, HeldPage, Picture] == shown
