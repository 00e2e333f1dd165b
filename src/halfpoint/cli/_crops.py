"""A part of a kept page picture, shown in the terminal or put into a file."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Self

from halfpoint.cli._half_blocks import half_blocks, terminal_shows_grey

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from halfpoint.collect.paper.print.layout import Rectangle

FILE_NAME = 'look.png'
MOST_COLUMNS = 160
# What is around a small thing tells what it is.
LEAST_WIDTH, LEAST_HEIGHT = 60.0, 12.0
ENLARGED = 3


class Crops:
    """Shows parts of pictures. A context manager: its file is there until it ends.

    Args:
        show: `terminal`, `file` or `both`; None takes the terminal where it has grey, else a
            file.
    """

    def __init__(self, show: str | None) -> None:
        shown = show or ('terminal' if terminal_shows_grey() else 'file')
        self._in_terminal = shown in {'terminal', 'both'}
        self._in_file = shown in {'file', 'both'}
        self._folder: Path | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        if self._folder is not None:
            shutil.rmtree(self._folder, ignore_errors=True)

    def show(
        self,
        picture: bytes,
        area: Rectangle | None,
        *,
        marks: Sequence[tuple[float, str]] = (),
        name: str = FILE_NAME,
    ) -> str:
        """The part of a picture (JPEG) as text for the terminal, or where its file is.

        `marks` are places across the frame in millimetres, and what to write below them in the
        terminal, which is too coarse for the print in a circle.
        """
        pixels = cut(picture, area)
        said = [half_blocks(pixels, _columns())] if self._in_terminal else []
        if self._in_terminal and area is not None and marks:
            said.append(_below(marks, area, pixels.shape[1]))
        if self._in_file:
            said.append(f"Picture: {self._written(pixels, name)}")
        return '\n'.join(said)

    def _written(self, pixels: NDArray[np.uint8], name: str) -> Path:
        import cv2

        from halfpoint.writing import write_bytes_safely

        if self._folder is None:
            self._folder = Path(tempfile.mkdtemp(prefix='halfpoint-'))
        size = (pixels.shape[1] * ENLARGED, pixels.shape[0] * ENLARGED)
        _, png = cv2.imencode('.png', cv2.resize(pixels, size, interpolation=cv2.INTER_CUBIC))
        path = self._folder / name
        write_bytes_safely(path, png.tobytes())
        return path


def cut(picture: bytes, area: Rectangle | None) -> NDArray[np.uint8]:
    """A part of a kept picture and enough around it to tell what it is; all without an area."""
    from halfpoint.collect.paper.print.layout import Rectangle
    from halfpoint.collect.paper.read.crop import crop_of

    if area is None or area.width <= 0:
        return crop_of(picture)
    left, right = _span(area.left, area.right, LEAST_WIDTH)
    top, bottom = _span(area.top, area.bottom, LEAST_HEIGHT)
    return crop_of(picture, Rectangle(left, top, right - left, bottom - top))


def _span(first: float, last: float, least: float) -> tuple[float, float]:
    more = max(0.0, (least - (last - first)) / 2)
    return first - more, last + more


def _below(marks: Sequence[tuple[float, str]], area: Rectangle, width: int) -> str:
    """A line with each text below its place in a picture of so many pixels."""
    from halfpoint.collect.paper.read.crop import MARGIN_MM
    from halfpoint.collect.paper.read.model import PICTURE_SCALE

    left = max(0.0, _span(area.left, area.right, LEAST_WIDTH)[0] - MARGIN_MM)
    line = ''
    for place, text in marks:
        column = round((place - left) * PICTURE_SCALE * min(1.0, _columns() / width))
        line = f'{line:<{max(column - len(text) // 2, len(line) + 1 if line else 0)}}{text}'
    return line


def _columns() -> int:
    return min(shutil.get_terminal_size().columns, MOST_COLUMNS)
