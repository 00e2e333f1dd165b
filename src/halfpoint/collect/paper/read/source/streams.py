"""What stands before a stream in a PDF: the dictionary that says how its bytes are meant.

PDFium hands out the bytes of an embedded image but not its dictionary, and a mask or an inverting
`/Decode` there changes what the page looks like. A stream's dictionary stands in the file in
the clear, right before its bytes (ISO 32000-1, 7.3.8.1), so it can be looked up.
"""

from __future__ import annotations

import re
from pathlib import Path

# In a file written in order, the next image begins within this of the end of the last.
_NEAR = 256 * 1024
_FAR = 32 * 1024**2
_LONGEST_DICTIONARY = 2048
_NEEDLE = 48

_BEFORE = re.compile(rb'\sobj\s*(<<.*>>)\s*stream\r?\n\Z', re.DOTALL)


class Streams:
    """Finds dictionaries of streams by the streams' bytes, best in the order of the file."""

    def __init__(self, path: Path) -> None:
        self._file = path.open('rb')
        self._size = self._file.seek(0, 2)
        self._end_of_last = 0

    def dictionary(self, data: bytes, share: float) -> bytes | None:
        """The dictionary before these bytes, or None where they are not found nearby.

        Args:
            data: the bytes of a stream, as they are in the file.
            share: how far into the file they are likely to be, from 0 to 1.
        """
        guess = int(share * self._size) - _FAR
        near = (self._end_of_last, len(data) + _NEAR)
        return self._within(data, *near) or self._within(data, guess, 2 * _FAR + len(data))

    def _within(self, data: bytes, start: int, length: int) -> bytes | None:
        start = max(start - _LONGEST_DICTIONARY, 0)
        self._file.seek(start)
        window = self._file.read(length + _LONGEST_DICTIONARY)
        at = _position(data, window)
        if at is None:
            return None
        self._end_of_last = start + at + len(data)
        # An object number stands before 'obj'; the search begins after the object before.
        before = window[max(at - _LONGEST_DICTIONARY, 0) : at].rpartition(b'endobj')[2]
        found = _BEFORE.search(before)
        return found[1] if found else None

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()


def _position(data: bytes, window: bytes) -> int | None:
    """Where the bytes are; looked for by their middle, since many images begin alike."""
    middle = len(data) // 2
    needle = data[middle : middle + _NEEDLE]
    at = window.find(needle, middle)
    while at >= 0:
        if window.startswith(data, at - middle):
            return at - middle
        at = window.find(needle, at + 1)
    return None
