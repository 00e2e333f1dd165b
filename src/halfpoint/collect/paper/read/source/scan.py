"""A file of pictures, and one picture out of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class ScanFile:
    """A file that holds pictures of pages.

    `digest` is the SHA-256 of its bytes in hexadecimal digits, `kind` what it is by its bytes
    and not by its name: 'pdf', 'jpeg', 'png', 'tiff', 'heic', 'avif', 'webp', 'bmp' or 'pnm'.
    `pages` is how many pages it says it has, at least 1.
    """

    path: Path
    name: str
    digest: str
    kind: str
    pages: int


@dataclass(frozen=True, slots=True)
class Picture:
    """One page in grey.

    `pixels`: (height, width), 0 black to 255 white, C-contiguous, at most `limits.LONG_SIDE` on
    the long side. `bilevel` says that the page was scanned in black and white: every pixel of the
    source is black or white, or was before it was compressed.
    """

    pixels: NDArray[np.uint8]
    bilevel: bool
