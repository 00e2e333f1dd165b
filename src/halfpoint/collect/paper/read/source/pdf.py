"""Pages of a PDF: the picture of a scan taken out as it is, any other page rendered."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from numpy.typing import NDArray

from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source.bilevel import is_bilevel
from halfpoint.collect.paper.read.source.embedded import (
    Embedded,
    bounds,
    metadata,
    whole_page_jpeg,
)
from halfpoint.collect.paper.read.source.grey import fits, grey_picture
from halfpoint.collect.paper.read.source.held import too_large, too_many_objects
from halfpoint.collect.paper.read.source.images import opened_image
from halfpoint.collect.paper.read.source.limits import (
    LONG_SIDE,
    MOST_OBJECTS,
    MOST_PER_POINT,
    RENDERED_PER_POINT,
    SHORTEST_LONG_SIDE,
)
from halfpoint.collect.paper.read.source.scan import Picture
from halfpoint.collect.paper.read.source.streams import Streams

# Share of a page that its images must cover to be what was scanned.
_SCANNED = 0.5

# PDFium keeps what it has read of a file until that is closed, so that it is opened anew after so
# many pages.
_PAGES_AT_A_TIME = 50

# Objects looked at within forms, and forms within forms.
_MOST_LOOKED_AT = 20_000
_DEEPEST = 8


class PdfPages:
    """The pages of a PDF file, which stays open between them."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._document = pypdfium2.PdfDocument(path)
        self._streams = Streams(path)
        self._taken = 0

    def __len__(self) -> int:
        return len(self._document)

    def picture(self, page: int) -> Picture | HeldPage:
        """The picture of a page, from 1."""
        self._open_anew_at_times()
        share = (page - 0.5) / max(len(self), 1)
        with _closing(self._document[page - 1]) as opened:
            count = pdfium.FPDFPage_CountObjects(opened)
            if count > MOST_OBJECTS:
                return too_many_objects(count)
            objects = [pdfium.FPDFPage_GetObject(opened, index) for index in range(count)]
            return self._pictured(opened, objects, share)

    def _open_anew_at_times(self) -> None:
        if self._taken == _PAGES_AT_A_TIME:
            self._document.close()
            self._document = pypdfium2.PdfDocument(self._path)
            self._taken = 0
        self._taken += 1

    def _pictured(self, page: Any, objects: list[Any], share: float) -> Picture | HeldPage:
        images = list(islice(_images(objects), _MOST_LOOKED_AT))
        known = [metadata(image, page) for image in images]
        large = next((item for item in known if not fits(item.width, item.height)), None)
        if large is not None:
            return too_large(large.width, large.height)
        whole = whole_page_jpeg(page, objects, self._streams, share)
        taken = whole and _taken_out(whole)
        if taken:
            return taken
        pixels = _rendered(page)
        scanned = _share_covered(page, objects) > _SCANNED
        one_bit = bool(known) and all(item.bits_per_pixel == 1 for item in known)
        return Picture(pixels, scanned and (one_bit or is_bilevel(pixels)))

    def close(self) -> None:
        """Let go of the file and of all that PDFium keeps."""
        self._document.close()
        self._streams.close()


@contextmanager
def _closing(item: Any) -> Iterator[Any]:
    """`contextlib.closing` hides from pypdfium2 that an object is closed by us."""
    try:
        yield item
    finally:
        item.close()


def _images(objects: list[Any], depth: int = 0) -> Iterator[Any]:
    """Images among objects and within forms among them."""
    for item in objects:
        kind = pdfium.FPDFPageObj_GetType(item)
        if kind == pdfium.FPDF_PAGEOBJ_IMAGE:
            yield item
        elif kind == pdfium.FPDF_PAGEOBJ_FORM and depth < _DEEPEST:
            count = min(pdfium.FPDFFormObj_CountObjects(item), _MOST_LOOKED_AT)
            inner = [pdfium.FPDFFormObj_GetObject(item, index) for index in range(count)]
            yield from _images(inner, depth + 1)


def _taken_out(whole: Embedded) -> Picture | HeldPage | None:
    """The picture in a JPEG; None where only rendering can tell what it looks like."""
    with opened_image(BytesIO(whole.jpeg), 'jpeg') as image:
        if image.mode not in {'L', 'RGB'}:
            return None
        taken = grey_picture(image)
    if isinstance(taken, HeldPage) or not whole.turns:
        return taken
    return Picture(np.ascontiguousarray(np.rot90(taken.pixels, whole.turns)), taken.bilevel)


def _rendered(page: Any) -> NDArray[np.uint8]:
    long_side = max(page.get_size())
    wanted = min(max(long_side * RENDERED_PER_POINT, SHORTEST_LONG_SIDE), LONG_SIDE - 1)
    scale = min(wanted / max(long_side, 1e-3), MOST_PER_POINT)
    with _closing(page.render(scale=scale, grayscale=True)) as bitmap:
        pixels: NDArray[np.uint8] = bitmap.to_numpy()
        return np.array(pixels.reshape(pixels.shape[:2]), order='C')


def _share_covered(page: Any, objects: list[Any]) -> float:
    left, bottom, right, top = page.get_bbox()
    whole = max((right - left) * (top - bottom), 1e-6)
    boxes = [bounds(item) for item in objects if _has_image(item)]
    return float(sum((box[2] - box[0]) * (box[3] - box[1]) for box in boxes) / whole)


def _has_image(item: Any) -> bool:
    return next(_images([item]), None) is not None
