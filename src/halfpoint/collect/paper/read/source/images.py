"""Images of every kind but PDF, opened by Pillow: the header first, the pixels when asked for."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from pathlib import Path

from PIL import Image

from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source.grey import grey_picture
from halfpoint.collect.paper.read.source.kinds import FORMATS
from halfpoint.collect.paper.read.source.scan import Picture


class ImagePages:
    """The pages of an image file: one, or those of a TIFF."""

    def __init__(self, path: Path, kind: str) -> None:
        self._path = path
        self._kind = kind
        self._tiff: Image.Image | None = None

    def picture(self, page: int) -> Picture | HeldPage:
        """The picture of a page, from 1."""
        if self._kind != 'tiff':
            with opened_image(self._path, self._kind) as image:
                return grey_picture(image)
        if self._tiff is None:
            self._tiff = opened_image(self._path, self._kind)
        self._tiff.seek(page - 1)
        return grey_picture(self._tiff)

    def close(self) -> None:
        """Let go of the file."""
        if self._tiff is not None:
            self._tiff.close()
            self._tiff = None


def opened_image(source: Path | BytesIO, kind: str) -> Image.Image:
    """The image in a file of a known kind; only its header is read.

    Raises:
        Exception: whatever Pillow raises at a header that it does not understand.
    """
    if kind == 'heic':
        heic_can_be_opened()
    return Image.open(source, formats=FORMATS[kind])


@cache
def heic_can_be_opened() -> bool:
    """Whether pictures of telephones in HEIC can be opened: an optional library does it."""
    try:
        import pillow_heif  # noqa: PLC0415
    except ImportError:
        return False
    pillow_heif.register_heif_opener()
    return True
