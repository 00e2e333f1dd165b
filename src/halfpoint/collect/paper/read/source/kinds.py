"""What a file is, by its first bytes."""

from __future__ import annotations

HEAD_BYTES = 1024

_STARTS = (
    (b'\xff\xd8\xff', 'jpeg'),
    (b'\x89PNG\r\n\x1a\n', 'png'),
    (b'II*\0', 'tiff'),
    (b'MM\0*', 'tiff'),
    (b'II+\0', 'tiff'),
    (b'MM\0+', 'tiff'),
    (b'BM', 'bmp'),
    *((b'P%d' % digit, 'pnm') for digit in range(1, 7)),
)

# Brands of ISO base media files: ISO/IEC 23008-12 (HEIF) and the AV1 image file format.
_BRANDS = {
    **dict.fromkeys((b'heic', b'heix', b'heim', b'heis', b'hevc', b'hevx', b'mif1'), 'heic'),
    **dict.fromkeys((b'avif', b'avis'), 'avif'),
}

# What Pillow calls the formats of a kind: nothing else is tried, whatever the bytes claim.
FORMATS = {
    'jpeg': ('JPEG', 'MPO'),
    'png': ('PNG',),
    'tiff': ('TIFF',),
    'bmp': ('BMP',),
    'pnm': ('PPM',),
    'webp': ('WEBP',),
    'heic': ('HEIF',),
    'avif': ('AVIF',),
}


def kind_of(head: bytes) -> str | None:
    """The kind of a file with these first 1,024 bytes; None where it is no picture.

    >>> kind_of(b'%PDF-1.7')
    'pdf'
    >>> kind_of(b'code,total')
    """
    for start, kind in _STARTS:
        if head.startswith(start):
            return kind
    if head[:4] == b'RIFF' and head[8:12] == b'WEBP':
        return 'webp'
    if head[4:8] == b'ftyp':
        return _branded(head)
    return 'pdf' if b'%PDF-' in head else None


def _branded(head: bytes) -> str | None:
    brands = [head[8:12], *(head[at : at + 4] for at in range(16, 64, 4))]
    return next((_BRANDS[brand] for brand in brands if brand in _BRANDS), None)
