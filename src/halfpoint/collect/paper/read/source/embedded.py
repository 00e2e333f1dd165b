"""A page of a PDF that is one JPEG and nothing else: taken out without rendering."""

from __future__ import annotations

import ctypes
import re
from dataclasses import dataclass
from typing import Any

import pypdfium2.raw as pdfium

from halfpoint.collect.paper.read.source.streams import Streams

# What in an image's dictionary changes how it looks (ISO 32000-1, tables 89 and 5), and what
# could hide such a key: another spelling of a name, or a comment.
_CHANGES_LOOK = re.compile(
    rb'/(Decode(?!Parms)|SMask|Mask|ImageMask|Alternates|OC|Matte|ColorTransform|F\b|FFilter)|[#%]'
)
_IMAGE = re.compile(rb'/Subtype\s*/Image\b')

_PLAIN_COLOURS = frozenset(
    {
        pdfium.FPDF_COLORSPACE_DEVICEGRAY,
        pdfium.FPDF_COLORSPACE_DEVICERGB,
        pdfium.FPDF_COLORSPACE_CALGRAY,
        pdfium.FPDF_COLORSPACE_CALRGB,
        pdfium.FPDF_COLORSPACE_ICCBASED,
    }
)

# Quarter turns anticlockwise by the signs of the image's matrix (a, b, c, d).
_TURNS = {(1, 0, 0, 1): 0, (0, 1, -1, 0): 1, (-1, 0, 0, -1): 2, (0, -1, 1, 0): 3}

# Shares by which an image may miss the edge of its page, and its pixels be out of square.
_EDGE = 0.03
_OUT_OF_SQUARE = 0.02
_OUT_OF_LINE = 0.002

_INVISIBLE = pdfium.FPDF_TEXTRENDERMODE_INVISIBLE


@dataclass(frozen=True, slots=True)
class Embedded:
    """A JPEG that is a whole page, and how often it is turned a quarter anticlockwise."""

    jpeg: bytes
    turns: int


def whole_page_jpeg(
    page: Any, objects: list[Any], streams: Streams, share: float
) -> Embedded | None:
    """The JPEG that is all there is to see on a page; None where that is not certain.

    Args:
        page: a `pypdfium2.PdfPage`.
        objects: all objects on it.
        streams: of the file it is in.
        share: how far into the file it is likely to be, from 0 to 1.
    """
    images = [item for item in objects if _type(item) == pdfium.FPDF_PAGEOBJ_IMAGE]
    if len(images) != 1 or not all(_is_invisible(item) for item in objects if item != images[0]):
        return None
    image = images[0]
    if pdfium.FPDFPage_GetAnnotCount(page) or not _is_plain(image, page):
        return None
    turns = _turns(image, page)
    if turns is None:
        return None
    jpeg = _raw_bytes(image)
    dictionary = streams.dictionary(jpeg, share)
    if dictionary is None or not _IMAGE.search(dictionary) or _CHANGES_LOOK.search(dictionary):
        return None
    return Embedded(jpeg, turns)


def metadata(image: Any, page: Any) -> Any:
    """Size in pixels, bits per pixel and colour space of an image on a page, by its dictionary."""
    known = pdfium.FPDF_IMAGEOBJ_METADATA()
    pdfium.FPDFImageObj_GetImageMetadata(image, page, known)
    return known


def bounds(item: Any) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of an object, in points of its page."""
    edges = [ctypes.c_float() for _ in range(4)]
    pdfium.FPDFPageObj_GetBounds(item, *edges)
    left, bottom, right, top = (edge.value for edge in edges)
    return left, bottom, right, top


def _type(item: Any) -> int:
    return int(pdfium.FPDFPageObj_GetType(item))


def _is_invisible(item: Any) -> bool:
    """Text that a scanner's recognition laid under or over the picture."""
    is_text = _type(item) == pdfium.FPDF_PAGEOBJ_TEXT
    return is_text and bool(pdfium.FPDFTextObj_GetTextRenderMode(item) == _INVISIBLE)


def _is_plain(image: Any, page: Any) -> bool:
    clip = pdfium.FPDFPageObj_GetClipPath(image)
    return (
        _filters(image) == ['DCTDecode']
        and metadata(image, page).colorspace in _PLAIN_COLOURS
        and not pdfium.FPDFPageObj_HasTransparency(image)
        and not (clip and pdfium.FPDFClipPath_CountPaths(clip) > 0)
    )


def _filters(image: Any) -> list[str]:
    names = []
    for index in range(min(pdfium.FPDFImageObj_GetImageFilterCount(image), 4)):
        name = ctypes.create_string_buffer(32)
        pdfium.FPDFImageObj_GetImageFilter(image, index, name, len(name))
        names.append(name.value.decode('ascii', 'replace'))
    return names


def _turns(image: Any, page: Any) -> int | None:
    """Quarter turns anticlockwise; None where the image is askew, mirrored, or not the page."""
    placed = pdfium.FS_MATRIX()
    if not pdfium.FPDFPageObj_GetMatrix(image, placed) or not _covers(bounds(image), page):
        return None
    parts = (placed.a, placed.b, placed.c, placed.d)
    least = max(map(abs, parts)) * _OUT_OF_LINE
    signs = tuple(0 if abs(part) <= least else 1 if part > 0 else -1 for part in parts)
    known = metadata(image, page)
    across = max(abs(placed.a), abs(placed.b)) / max(known.width, 1)
    down = max(abs(placed.c), abs(placed.d)) / max(known.height, 1)
    if signs not in _TURNS or abs(across - down) > _OUT_OF_SQUARE * down:
        return None
    return (_TURNS[signs] - int(pdfium.FPDFPage_GetRotation(page))) % 4


def _covers(box: tuple[float, float, float, float], page: Any) -> bool:
    left, bottom, right, top = page.get_bbox()
    margins = ((right - left) * _EDGE, (top - bottom) * _EDGE) * 2
    edges = zip(box, (left, bottom, right, top), margins, strict=True)
    return all(abs(edge - of_page) <= margin for edge, of_page, margin in edges)


def _raw_bytes(image: Any) -> bytes:
    size = pdfium.FPDFImageObj_GetImageDataRaw(image, None, 0)
    data = ctypes.create_string_buffer(size)
    pdfium.FPDFImageObj_GetImageDataRaw(image, data, size)
    return data.raw
