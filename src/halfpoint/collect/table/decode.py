"""Bytes to text: UTF-8, UTF-16 and Windows-1252, by their marks and by what they cannot be."""

from __future__ import annotations

import codecs
import re

from halfpoint.errors import NotATable

_CONTROLS = re.compile(r'[\x00-\x08\x0e-\x1f\x7f]')
_SAMPLE = 4096


def decode(data: bytes, *, where: str) -> str:
    """The text that `data` holds.

    Raises:
        NotATable: the bytes are no text in any of the encodings.
    """
    encoding = encoding_of(data)
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        raise _not_text(where) from None
    text = text.removeprefix('\ufeff').rstrip('\x1a')
    if _CONTROLS.search(text):
        raise _not_text(where)
    return text


def encoding_of(data: bytes) -> str:
    """The encoding of `data`: by its byte order mark, then by zero bytes, then by trial."""
    if data.startswith(codecs.BOM_UTF8):
        return 'utf-8-sig'
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return 'utf-16'
    unmarked = _unmarked_utf16(data[:_SAMPLE])
    if unmarked:
        return unmarked
    try:
        data.decode('utf-8')
    except UnicodeDecodeError:
        return 'cp1252'
    return 'utf-8'


def _unmarked_utf16(sample: bytes) -> str | None:
    """Latin text in UTF-16 has a zero byte in almost every pair, always on the same side."""
    even, odd = sample[0::2], sample[1::2]
    if not odd:
        return None
    zero_first, zero_second = even.count(0) / len(even), odd.count(0) / len(odd)
    if zero_second > 0.5 and zero_first < 0.05:
        return 'utf-16-le'
    if zero_first > 0.5 and zero_second < 0.05:
        return 'utf-16-be'
    return None


def _not_text(where: str) -> NotATable:
    return NotATable(
        "bytes that are not text",
        where=where,
        expected="a table as text (UTF-8, UTF-16 or Windows-1252), XLSX, ODS or Parquet",
        remedy="open the file in the program that wrote it and save it as CSV or XLSX",
    )
