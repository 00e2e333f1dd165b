"""The square codes, printed, scanned and photographed, by independent decoders and by ours.

OpenCV reads QR codes and no Data Matrix; the other reader of Data Matrix that Python has needs a
library of the system, so that zxing-cpp alone is asked about those.
"""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
import pytest
import zxingcpp
from numpy.typing import NDArray
from tests.collect.paper.read.pages import Written, filled, in_perspective, room
from tests.collect.paper.read.register.bends import picture_size, slight

from halfpoint.collect.paper.print.layout import CodeArea
from halfpoint.collect.paper.read.codes import read_codes
from halfpoint.collect.paper.read.register.markers import corner_pairs, find_markers
from halfpoint.collect.paper.read.register.walk import walk
from halfpoint.demo.paper import simulate

Pixels = NDArray[np.uint8]
Grid = NDArray[np.float64]
WAYS = ('printed', 'in perspective', 'scan-150', 'scan-200-q40', 'photo-5mp', 'photo-12mp')


@cache
def taken(way: str) -> tuple[str, Pixels]:
    """What a page says in its codes, and a picture of it."""
    made = room()
    if way in {'printed', 'in perspective'}:
        page = filled(made)
        image = page.image
        if way == 'in perspective':
            matrix = slight(image, 0.1, 0.15)
            image = in_perspective(image, matrix, picture_size(image, matrix))
        return page.raster.page.identity.payload, image
    written, picture = simulate(21, made.layout, made.pages, made.tasting.sheet, way)
    return written.page.identity.payload, picture.image


def placed(picture: Pixels) -> Grid:
    """The matrix from frame to picture."""
    layout = room().layout
    frame, seen = corner_pairs(find_markers(picture), layout)
    return walk(picture, frame, seen, layout).matrix


def upright(picture: Pixels, code: CodeArea) -> Pixels:
    """One code with its quiet zone, fetched by OpenCV with nothing of ours but the matrix."""
    area, quiet, scale = code.area, code.quiet + 1.0, 12.0
    side = area.width + 2 * quiet
    to_frame = np.array(
        [(1 / scale, 0, area.left - quiet), (0, 1 / scale, area.top - quiet), (0, 0, 1)]
    )
    return np.asarray(
        cv2.warpPerspective(
            picture, placed(picture) @ to_frame, (round(side * scale),) * 2,
            flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderValue=(255,),
        ),
        np.uint8,
    )  # fmt: skip


@pytest.mark.parametrize('way', WAYS)
def test_both_codes_are_read_as_printed(way: str) -> None:
    """Our reading is the one payload of the page, by the QR code, the Data Matrix, or both."""
    payload, picture = taken(way)
    matrix = placed(picture)
    assert (payload,) == read_codes(picture, matrix, room().layout.codes)
    for code in room().layout.codes:
        assert (payload,) == read_codes(picture, matrix, (code,))


@pytest.mark.parametrize('way', WAYS)
def test_opencv_reads_the_qr_code_alike(way: str) -> None:
    """OpenCV's own decoder says the same 24 digits."""
    payload, picture = taken(way)
    code = next(code for code in room().layout.codes if code.kind == 'qr')
    assert payload == cv2.QRCodeDetector().detectAndDecode(upright(picture, code))[0]


@pytest.mark.parametrize('way', WAYS)
def test_zxing_reads_both_codes_wherever_they_are(way: str) -> None:
    """Without being told where to look, zxing-cpp finds no other text than the payload."""
    payload, picture = taken(way)
    assert {payload} == {found.text for found in zxingcpp.read_barcodes(picture)}
    said = {
        (found.format.name, found.text)
        for code in room().layout.codes
        for found in zxingcpp.read_barcodes(upright(picture, code))
    }
    assert {('QRCode', payload), ('DataMatrix', payload)} == said


def test_no_code_says_nothing() -> None:
    """Painted over, they are not guessed."""
    page = Written(room())
    for code in page.room.layout.codes:
        page.paint(code.area)
    assert () == read_codes(page.image, placed(page.image), page.room.layout.codes)


def test_a_code_of_something_else_says_nothing() -> None:
    """A QR code that holds other digits, or a web address, is no identity."""
    for text in ('1' * 24, 'https://example.org/', '4006381333931'):
        page = Written(room())
        area = page.room.layout.codes[0].area
        for code in page.room.layout.codes:
            page.paint(code.area)
        rows, columns = page.pixels_of(area)
        size = (columns.stop - columns.start, rows.stop - rows.start)
        made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode).to_image()
        drawn = cv2.resize(np.array(made), size, interpolation=cv2.INTER_NEAREST)
        page.image[rows, columns] = drawn
        assert text in {each.text for each in zxingcpp.read_barcodes(page.image)}
        assert () == read_codes(page.image, placed(page.image), page.room.layout.codes)


def test_two_codes_that_differ_are_both_told() -> None:
    """Where the codes of two pages stand on one, neither is preferred."""
    one, other = (Written(room(), raster) for raster in room().pages[:2])
    rows, columns = one.pixels_of(one.room.layout.codes[1].area, 1.0)
    one.image[rows, columns] = other.image[rows, columns]
    expected = {page.raster.page.identity.payload for page in (one, other)}
    assert expected == set(read_codes(one.image, placed(one.image), one.room.layout.codes))
