"""A PDF as scanners write it: each page one grey JPEG (ISO 32000-1, 7.5 and 8.9.5), page by page.

Written straight to the disk, since libraries keep a whole document in memory until it is saved.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Self

from PIL import Image

_POINTS = 72
# Objects 1 and 2 are the catalogue and the list of pages; then three a page.
_FIRST, _A_PAGE = 3, 3


class ScannedPdf:
    """The file being written; whole only after `close`."""

    def __init__(self, path: Path, dpi: int) -> None:
        self._file = path.open('wb')
        self._dpi = dpi
        self._starts: dict[int, int] = {}
        self._pages = 0
        self._file.write(b'%PDF-1.4\n%\xe2\xe3\xcf\xd3\n')

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *trouble: object) -> None:
        self.close()

    def add(self, jpeg: bytes) -> None:
        """One more page, as large as its picture at the resolution."""
        with Image.open(BytesIO(jpeg)) as image:
            width, height = image.size
        across, down = (side * _POINTS / self._dpi for side in (width, height))
        number = _FIRST + _A_PAGE * self._pages
        self._stream(
            number,
            f'/Type /XObject /Subtype /Image /Width {width} /Height {height} '
            '/ColorSpace /DeviceGray /BitsPerComponent 8 /Filter /DCTDecode',
            jpeg,
        )
        self._stream(number + 1, '', f'q {across:.2f} 0 0 {down:.2f} 0 0 cm /Im Do Q'.encode())
        self._object(
            number + 2,
            f'<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {across:.2f} {down:.2f}] '
            f'/Resources << /XObject << /Im {number} 0 R >> >> /Contents {number + 1} 0 R >>',
        )
        self._pages += 1

    def close(self) -> None:
        """Write what holds the pages together."""
        kids = ' '.join(f'{_FIRST + _A_PAGE * n + 2} 0 R' for n in range(self._pages))
        self._object(1, '<< /Type /Catalog /Pages 2 0 R >>')
        self._object(2, f'<< /Type /Pages /Count {self._pages} /Kids [{kids}] >>')
        table = self._file.tell()
        size = len(self._starts) + 1
        entries = ''.join(f'{self._starts[n]:010} 00000 n \n' for n in range(1, size))
        self._file.write(f'xref\n0 {size}\n0000000000 65535 f \n{entries}'.encode())
        self._file.write(f'trailer\n<< /Size {size} /Root 1 0 R >>\n'.encode())
        self._file.write(f'startxref\n{table}\n%%EOF\n'.encode())
        self._file.close()

    def _object(self, number: int, content: str) -> None:
        self._starts[number] = self._file.tell()
        self._file.write(f'{number} 0 obj\n{content}\nendobj\n'.encode())

    def _stream(self, number: int, dictionary: str, data: bytes) -> None:
        self._starts[number] = self._file.tell()
        head = f'{number} 0 obj\n<< {dictionary} /Length {len(data)} >>\nstream\n'
        self._file.write(head.encode() + data + b'\nendstream\nendobj\n')
