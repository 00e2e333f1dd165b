"""The two square codes of a page, read where they must be."""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
import zxingcpp
from numpy.typing import NDArray

from halfpoint.collect.paper.print.identity import stated
from halfpoint.collect.paper.print.layout import CodeArea
from halfpoint.collect.paper.read.register.placement import cut_flat

Pixels = NDArray[np.uint8]
_FORMATS = {
    'qr': zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode),
    'data-matrix': zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.DataMatrix),
}
_AROUND = 3.0
_SCALES = (8.0, 12.0, 6.0)


def read_codes(
    picture: Pixels, matrix: NDArray[np.float64], codes: tuple[CodeArea, ...]
) -> tuple[str, ...]:
    """What the codes of a page say, each once; none, one, or two that differ.

    Only sound payloads count: what else a decoder may find is no identity.
    """
    said = (_said(picture, matrix, code) for code in codes)
    return tuple(dict.fromkeys(text for text in said if text is not None))


def _said(picture: Pixels, matrix: NDArray[np.float64], code: CodeArea) -> str | None:
    centre = (code.area.left + code.area.width / 2, code.area.top + code.area.height / 2)
    for scale in _SCALES:
        half = code.area.width / 2 + code.quiet + _AROUND
        cut = cut_flat(picture, matrix, centre, half, scale)
        for image in _versions(cut):
            found = zxingcpp.read_barcodes(image, formats=_FORMATS[code.kind])
            for each in found:
                if stated(each.text) is not None:
                    return each.text
    return None


def _versions(cut: Pixels) -> Iterator[Pixels]:
    yield cut
    yield np.asarray(cv2.GaussianBlur(cut, (0, 0), 1.2), np.uint8)
