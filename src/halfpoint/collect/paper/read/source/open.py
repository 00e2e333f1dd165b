"""From a path to a scan: what it is, how many pages, or why it is none."""

from __future__ import annotations

import hashlib
import stat
import warnings
from pathlib import Path
from typing import NoReturn

import pypdfium2
import pypdfium2.raw as pdfium
from PIL import Image

from halfpoint.collect.opened import refusing_unreadable
from halfpoint.collect.paper.read.source.images import heic_can_be_opened, opened_image
from halfpoint.collect.paper.read.source.kinds import HEAD_BYTES, kind_of
from halfpoint.collect.paper.read.source.limits import MOST_BYTES, MOST_PAGES
from halfpoint.collect.paper.read.source.scan import ScanFile
from halfpoint.errors import FileNotReadable, NotAScan

_EXPECTED = "a PDF, or a picture: JPEG, PNG, TIFF, HEIC, WebP, BMP"
_COPY_AGAIN = "copy the file again from where it came, or scan again"

# A whole PDF ends with these (ISO 32000-1, 7.5.5); some devices fill up the last block after it.
_PDF_END = b'startxref'
_PDF_TAIL_BYTES = 64 * 1024

_PDFIUM_REFUSALS = {
    pdfium.FPDF_ERR_PASSWORD: (
        "an encrypted PDF",
        "open it with its password, print it to a new PDF, and read that",
    ),
    pdfium.FPDF_ERR_SECURITY: (
        "a PDF encrypted in a way that cannot be opened",
        "open it with its password, print it to a new PDF, and read that",
    ),
}


def open_scan(path: Path) -> ScanFile:
    """The scan in a file. All its bytes are read once, for the digest; no picture is decoded.

    Raises:
        FileNotReadable: missing, a folder, no file, or not allowed.
        NotAScan: empty, no picture, a kind that cannot be opened, encrypted, cut off, damaged.
    """
    head, tail, digest = _looked_at(path)
    where = path.name
    kind = kind_of(head)
    if kind is None:
        raise NotAScan(
            "neither a PDF nor a picture", where=where, expected=_EXPECTED, remedy="leave it out"
        )
    pages = _pdf_pages(path, tail) if kind == 'pdf' else _image_pages(path, kind)
    if pages > MOST_PAGES:
        raise NotAScan(
            f"a file of {pages:,} pages",
            where=where,
            expected=f"at most {MOST_PAGES:,}",
            remedy="split it, if it is a scan at all",
        )
    return ScanFile(path, where, digest, kind, pages)


def _looked_at(path: Path) -> tuple[bytes, bytes, str]:
    """The first bytes of a file, its last bytes, and the digest of all."""
    with refusing_unreadable(
        path, expected=_EXPECTED, remedy="check the name and where the file is"
    ):
        size = _checked_size(path)
        with path.open('rb') as file:
            digest = hashlib.file_digest(file, 'sha256').hexdigest()
            file.seek(0)
            head = file.read(HEAD_BYTES)
            file.seek(max(size - _PDF_TAIL_BYTES, 0))
            return head, file.read(_PDF_TAIL_BYTES), digest


def _checked_size(path: Path) -> int:
    status = path.stat()
    if stat.S_ISDIR(status.st_mode):
        raise IsADirectoryError
    if not stat.S_ISREG(status.st_mode):
        raise FileNotReadable("a device or a pipe", where=str(path), expected=_EXPECTED)
    if not status.st_size:
        raise NotAScan("an empty file", where=path.name, expected=_EXPECTED, remedy=_COPY_AGAIN)
    if status.st_size > MOST_BYTES:
        raise NotAScan(
            f"a file of {status.st_size:,} bytes",
            where=path.name,
            expected=f"at most {MOST_BYTES:,} bytes",
            remedy="bring it in by parts",
        )
    return status.st_size


def _pdf_pages(path: Path, tail: bytes) -> int:
    if _PDF_END not in tail:
        raise NotAScan(
            "a PDF that is cut off: its end is missing",
            where=path.name,
            expected="a whole file",
            remedy=_COPY_AGAIN,
        )
    try:
        with pypdfium2.PdfDocument(path) as document:
            return len(document)
    except pypdfium2.PdfiumError as trouble:
        _refuse_pdf(path, trouble.err_code)
    except Exception as trouble:
        raise _damaged(path, 'pdf') from trouble


def _refuse_pdf(path: Path, code: int | None) -> NoReturn:
    if code in _PDFIUM_REFUSALS:
        found, remedy = _PDFIUM_REFUSALS[code]
        raise NotAScan(found, where=path.name, expected="a PDF without a password", remedy=remedy)
    raise _damaged(path, 'pdf')


def _image_pages(path: Path, kind: str) -> int:
    if kind == 'heic' and not heic_can_be_opened():
        raise NotAScan(
            "a HEIC picture, and nothing here that opens one",
            where=path.name,
            expected=_EXPECTED,
            remedy='install "halfpoint[paper]", or save the picture as JPEG',
        )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter('ignore')
            with opened_image(path, kind) as image:
                return int(getattr(image, 'n_frames', 1)) if kind == 'tiff' else 1
    except Image.DecompressionBombError:
        # It is held as too large when its picture is asked for.
        return 1
    except Exception as trouble:
        raise _damaged(path, kind) from trouble


def _damaged(path: Path, kind: str) -> NotAScan:
    return NotAScan(
        f"a damaged {kind.upper()} file",
        where=path.name,
        expected="a whole, undamaged file",
        remedy=_COPY_AGAIN,
    )
