"""Files that the tests of this folder are about, made from nothing: good, bad and hostile."""

from __future__ import annotations

import hashlib
import io
import zlib
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import pillow_heif
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

pillow_heif.register_heif_opener()


def page_pixels(width: int = 827, height: int = 1169, *, mark: int = 30) -> NDArray[np.uint8]:
    """A page as a scanner sees it in grey: pale rings, pen strokes, soft edges, a little noise.

    The top left has a black square and the top right an empty one, so that a turn or a flip
    shows.
    """
    page = Image.new('L', (width, height), 255)
    draw = ImageDraw.Draw(page)
    for y in range(height // 4, height - 40, 40):
        for x in range(40, width - 40, 40):
            draw.ellipse((x, y, x + 24, y + 24), outline=150, width=2)
        draw.line((50, y + 4, width // 2, y + 18), fill=mark, width=5)
    draw.rectangle((40, 40, 120, 120), fill=0)
    draw.rectangle((width - 120, 40, width - 40, 120), outline=0, width=6)
    soft = np.asarray(page.filter(ImageFilter.GaussianBlur(0.8)), dtype=float)
    noise = np.random.default_rng(20).normal(0, 2, soft.shape)
    return np.clip(soft + noise, 0, 255).astype(np.uint8)


def as_bytes(pixels: NDArray[np.uint8] | Image.Image, kind: str, **options: object) -> bytes:
    """A picture in a format of Pillow."""
    image = pixels if isinstance(pixels, Image.Image) else Image.fromarray(pixels)
    into = io.BytesIO()
    image.save(into, kind, **options)
    return into.getvalue()


def stream(entries: str, data: bytes) -> bytes:
    """A stream object of a PDF with these entries in its dictionary."""
    return b'<< %s /Length %d >>\nstream\n%s\nendstream' % (entries.encode(), len(data), data)


def pdf(objects: Sequence[bytes], trailer: str = '') -> bytes:
    """A PDF of objects 1, 2, …, of which 1 is the catalogue (ISO 32000-1, 7.5)."""
    out = bytearray(b'%PDF-1.7\n')
    places = []
    for number, body in enumerate(objects, start=1):
        places.append(len(out))
        out += b'%d 0 obj\n%s\nendobj\n' % (number, body)
    start = len(out)
    out += b'xref\n0 %d\n0000000000 65535 f \n' % (len(objects) + 1)
    out += b''.join(b'%010d 00000 n \n' % place for place in places)
    root = f'<< /Root 1 0 R /Size {len(objects) + 1} {trailer} >>'.encode()
    return bytes(out + b'trailer\n%s\nstartxref\n%d\n%%%%EOF\n' % (root, start))


def page_pdf(
    content: bytes,
    resources: str = '',
    *more: bytes,
    page: str = '',
    box: tuple[float, ...] = (0, 0, 298, 421),
) -> bytes:
    """A PDF of one page with this content; `more` are objects from number 5 on."""
    media = ' '.join(map(str, box))
    return pdf(
        [
            b'<< /Type /Catalog /Pages 2 0 R >>',
            b'<< /Type /Pages /Kids [3 0 R] /Count 1 >>',
            f'<< /Type /Page /Parent 2 0 R /MediaBox [{media}] /Contents 4 0 R '
            f'/Resources << {resources} >> {page} >>'.encode(),
            stream('', content),
            *more,
        ]
    )


def image_stream(
    jpeg: bytes, width: int, height: int, colours: str = '/DeviceGray', extra: str = ''
) -> bytes:
    """An image of a PDF that is a JPEG."""
    entries = f'/Type /XObject /Subtype /Image /Width {width} /Height {height} {extra}'
    entries += f' /ColorSpace {colours} /BitsPerComponent 8 /Filter /DCTDecode'
    return stream(entries, jpeg)


def scan_pdf(
    pixels: NDArray[np.uint8],
    matrix: tuple[float, ...] = (298, 0, 0, 421, 0, 0),
    *more: bytes,
    before: bytes = b'',
    after: bytes = b'',
    extra: str = '',
    page: str = '',
    quality: int = 90,
) -> bytes:
    """A PDF of one page that is one JPEG, placed by a matrix."""
    height, width = pixels.shape
    image = image_stream(as_bytes(pixels, 'JPEG', quality=quality), width, height, extra=extra)
    placed = b'%s q %s cm /Im Do Q %s' % (before, ' '.join(map(str, matrix)).encode(), after)
    return page_pdf(placed, '/XObject << /Im 5 0 R >>', image, *more, page=page)


def many_pages(count: int, *, share: int = 100) -> bytes:
    """A PDF of so many pages with a line on each, in a tree of two levels."""
    groups = count // share
    objects: list[bytes] = [b'<< /Type /Catalog /Pages 2 0 R >>', b'']
    first = 4 + groups
    kids = ' '.join(f'{4 + group} 0 R' for group in range(groups))
    objects[1] = f'<< /Type /Pages /Kids [{kids}] /Count {count} >>'.encode()
    objects.append(stream('', b'0 0 m 200 200 l S'))
    for group in range(groups):
        leaves = ' '.join(f'{first + group * share + leaf} 0 R' for leaf in range(share))
        objects.append(f'<< /Type /Pages /Parent 2 0 R /Kids [{leaves}] /Count {share} >>'.encode())
    objects += (
        f'<< /Type /Page /Parent {4 + number // share} 0 R /MediaBox [0 0 298 421] '
        f'/Contents 3 0 R >>'.encode()
        for number in range(count)
    )
    return pdf(objects)


def encrypted_pdf(password: bytes) -> bytes:
    """A PDF that asks for a password, unless it is empty (ISO 32000-1, 7.6.3, revision 2)."""
    padding = bytes.fromhex('28BF4E5E4E758A4164004E56FFFA01082E2E00B6D0683E802F0CA9FE6453697A')
    padded = (password + padding)[:32]
    owner_key = hashlib.md5(padded).digest()[:5]
    owner = rc4(owner_key, padded)
    permissions, name = (-4 & 0xFFFFFFFF).to_bytes(4, 'little'), b'halfpoint-tests!'
    key = hashlib.md5(padded + owner + permissions + name).digest()[:5]
    content = rc4(hashlib.md5(key + b'\x04\0\0\0\0').digest()[:10], b'0 0 m 200 200 l S')
    encrypt = f'/Encrypt << /Filter /Standard /V 1 /R 2 /P -4 /O <{owner.hex()}> '
    encrypt += f'/U <{rc4(key, padding).hex()}> >> /ID [<{name.hex()}> <{name.hex()}>]'
    return pdf(
        [
            b'<< /Type /Catalog /Pages 2 0 R >>',
            b'<< /Type /Pages /Kids [3 0 R] /Count 1 >>',
            b'<< /Type /Page /Parent 2 0 R /MediaBox [0 0 298 421] /Contents 4 0 R >>',
            stream('', content),
        ],
        encrypt,
    )


def rc4(key: bytes, data: bytes) -> bytes:
    """RC4, as in RFC 6229."""
    state = list(range(256))
    j = 0
    for i in range(256):
        j = (j + state[i] + key[i % len(key)]) % 256
        state[i], state[j] = state[j], state[i]
    out, i, j = bytearray(), 0, 0
    for byte in data:
        i = (i + 1) % 256
        j = (j + state[i]) % 256
        state[i], state[j] = state[j], state[i]
        out.append(byte ^ state[(state[i] + state[j]) % 256])
    return bytes(out)


def png_that_says(width: int, height: int) -> bytes:
    """A PNG whose header says it is so large, and which holds next to nothing."""

    def chunk(name: bytes, data: bytes) -> bytes:
        crc = zlib.crc32(name + data)
        return len(data).to_bytes(4, 'big') + name + data + crc.to_bytes(4, 'big')

    header = width.to_bytes(4, 'big') + height.to_bytes(4, 'big') + b'\x08\0\0\0\0'
    body = chunk(b'IHDR', header) + chunk(b'IDAT', zlib.compress(bytes(1000)))
    return b'\x89PNG\r\n\x1a\n' + body + chunk(b'IEND', b'')


def jpeg_that_says(width: int, height: int) -> bytes:
    """A JPEG whose header says it is so large, and whose pixels are those of a small one."""
    data = bytearray(as_bytes(np.full((64, 64), 200, dtype=np.uint8), 'JPEG'))
    at = data.index(b'\xff\xc0')
    data[at + 5 : at + 9] = height.to_bytes(2, 'big') + width.to_bytes(2, 'big')
    return bytes(data)


def hostile_pdfs() -> Mapping[str, bytes]:
    """PDFs that are made to crash, hang or fill the memory of whoever opens them."""
    catalogue = b'<< /Type /Catalog /Pages 2 0 R >>'
    leaf = b'<< /Type /Page /Parent 2 0 R /MediaBox [0 0 298 421] /Contents 4 0 R >>'
    line = stream('', b'0 0 m 200 200 l S')
    bomb = zlib.compress(bytes(50_000_000), 9)
    huge = '/Type /XObject /Subtype /Image /Width 50000 /Height 50000 /ColorSpace /DeviceGray'
    return {
        'its own parent': pdf([catalogue, b'<< /Type /Pages /Kids [2 0 R] /Count 5 >>']),
        'two that hold each other': pdf(
            [
                catalogue,
                b'<< /Type /Pages /Kids [3 0 R 3 0 R] /Count 9 >>',
                b'<< /Type /Pages /Kids [2 0 R 2 0 R] /Count 9 >>',
            ]
        ),
        'says more pages than it has': pdf(
            [catalogue, b'<< /Type /Pages /Kids [3 0 R] /Count 700 >>', leaf, line]
        ),
        'says a negative count': pdf(
            [catalogue, b'<< /Type /Pages /Kids [3 0 R] /Count -7 >>', leaf, line]
        ),
        'a stream of 50 MB in 50 kB': page_pdf(
            b'/Im Do',
            '/XObject << /Im 5 0 R >>',
            stream(f'{huge} /BitsPerComponent 8 /Filter /FlateDecode', bomb),
        ),
        'no box at all': page_pdf(b'0 0 m 9 9 l S', box=(0, 0, 0, 0)),
        'a box without end': page_pdf(b'0 0 m 9 9 l S', box=(0, 0, 1e30, 1e30)),
        'a needle': page_pdf(b'0 0 m 9 9 l S', box=(0, 0, 14_400, 0.001)),
        'unbalanced': page_pdf(b'Q ' * 5_000 + b'q ' * 50_000 + b'0 0 m 9 9 l S'),
        'a broken table of objects': page_pdf(b'0 0 m 9 9 l S').replace(b'0000000', b'9999999'),
        'half a filter': page_pdf(
            b'/Im Do',
            '/XObject << /Im 5 0 R >>',
            stream(
                '/Type /XObject /Subtype /Image /Width 9 /Height 9 /ColorSpace /DeviceGray '
                '/BitsPerComponent 8 /Filter [/FlateDecode /LZWDecode /DCTDecode /Unknown]',
                bomb[:999],
            ),
        ),
    }


def written(folder: Path, name: str, data: bytes) -> Path:
    """The path of a file with these bytes."""
    path = folder / name
    path.write_bytes(data)
    return path
