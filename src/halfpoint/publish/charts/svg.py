"""From a drawing to a picture, in the shipped typeface: SVG, and PNG or PDF of it."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

import vl_convert

from halfpoint.publish.palette import CARD
from halfpoint.typeface import FAMILY, font_directory

if TYPE_CHECKING:
    from halfpoint.publish.charts.drawing import Drawing

Kind = Literal['svg', 'png', 'pdf']

_CONFIG = {
    'background': 'transparent',
    'font': FAMILY,
    'view': {'stroke': None},
    'aria': False,
    'padding': 2,
}


def to_svg(drawing: Drawing) -> str:
    """The drawing as an SVG document, 640 px wide, with see-through ground."""
    return to_svg_soon(drawing).result()


def to_svg_soon(drawing: Drawing) -> Future[str]:
    """As `to_svg`, while other work goes on; ask the future for the picture."""
    return _worker().submit(_converted, drawing.spec())


def to_picture(drawing: Drawing, kind: Kind) -> bytes:
    """The drawing as a file that stands alone: on a card, with a margin; PNG at 192 dpi."""
    return _worker().submit(_pictured, drawing.spec(), kind).result()


def warm_up() -> None:
    """Start the drawing engine beside other work; the first picture then comes sooner."""
    _worker().submit(_converted, {'data': {'values': []}, 'mark': 'point'})


@cache
def _worker() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max_workers=1, initializer=_register_typeface)


def _register_typeface() -> None:
    vl_convert.register_font_directory(str(font_directory()))


def _converted(spec: dict[str, Any]) -> str:
    return str(vl_convert.vegalite_to_svg(spec, config=_CONFIG))


def _pictured(spec: dict[str, Any], kind: Kind) -> bytes:
    config = {**_CONFIG, 'background': CARD, 'padding': 18}
    if kind == 'svg':
        return str(vl_convert.vegalite_to_svg(spec, config=config)).encode()
    if kind == 'pdf':
        return bytes(vl_convert.vegalite_to_pdf(spec, config=config))
    return bytes(vl_convert.vegalite_to_png(spec, config=config, scale=2))
