"""Solid black shapes as one path each: markers, side squares, QR and Data Matrix.

QR by ISO/IEC 18004 (version 1, a quarter restorable), Data Matrix by ISO/IEC 16022 (16 by 16).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import zxingcpp
from numpy.typing import NDArray

from halfpoint.collect.paper.print.fiducials import cells_of
from halfpoint.collect.paper.print.layout import CodeArea, Layout, Rectangle

Cells = Sequence[Sequence[bool]] | NDArray[np.bool_]


def modules_of(kind: str, payload: str) -> NDArray[np.bool_]:
    """The modules of a code without its quiet zone, True black.

    Args:
        kind: `qr` or `data-matrix`.
        payload: what it says.
    """
    if kind == 'qr':
        made = zxingcpp.create_barcode(payload, zxingcpp.BarcodeFormat.QRCode, ec_level='Q')
    else:
        made = zxingcpp.create_barcode(payload, zxingcpp.BarcodeFormat.DataMatrix)
    image = np.array(made.to_image(scale=1, add_quiet_zones=False))
    dark: NDArray[np.bool_] = image < 128
    return dark


def codes_drawing(areas: Iterable[CodeArea], payload: str) -> str:
    """Both codes of a page as an SVG drawing of the whole frame."""
    shapes = (_path(modules_of(code.kind, payload), code.area) for code in areas)
    return _drawing(''.join(shapes))


def marks_drawing(layout: Layout) -> str:
    """The corner markers and side squares as an SVG drawing of the whole frame."""
    corners = (_path(cells_of(each.marker), each.area) for each in layout.fiducials)
    sides = (_path([[True]], area) for area in layout.side_marks)
    return _drawing(''.join((*corners, *sides)))


def _drawing(path: str) -> str:
    size = 'width="190mm" height="257mm" viewBox="0 0 190 257"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}><path d="{path}"/></svg>'


def _path(cells: Cells, area: Rectangle) -> str:
    """One rectangle for each run of black in each row."""
    module = area.width / len(cells[0])
    return ''.join(
        f'M{area.left + first * module:.6g} {area.top + row * module:.6g}'
        f'h{length * module:.6g}v{module:.6g}h-{length * module:.6g}z'
        for row, first, length in _runs(cells)
    )


def _runs(cells: Cells) -> Iterator[tuple[int, int, int]]:
    """Row, first column and length of each run."""
    for number, row in enumerate(cells):
        text = ''.join('1' if cell else '0' for cell in row)
        at = text.find('1')
        while at >= 0:
            end = text.find('0', at)
            end = len(text) if end < 0 else end
            yield number, at, end - at
            at = text.find('1', end)
