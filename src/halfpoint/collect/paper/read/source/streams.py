"""What stands before a stream in a PDF: the dictionary that says how its bytes are meant.

PDFium hands out the bytes of an embedded image but not its dictionary, and a mask or an inverting
`/Decode` there changes what the page looks like. A stream's dictionary stands in the file in
the clear, right before its bytes (ISO 32000-1, 7.3.8.1), so it can be looked up.
"""

from __future__ import annotations

import re
from pathlib import Path

# Bytes searched: after the last image found, where the next one begins in a file written in
# order, or the one after a page that another process reads; and then on either side of where the
# page's share of the file would be.
_AFTER_LAST = (1024**2, 8 * 1024**2)
_AROUND_GUESS = (2 * 1024**2, 32 * 1024**2)
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
        guess = int(share * self._size)
        last = self._end_of_last
        places = [(last, last + length) for length in _AFTER_LAST]
        places += [(guess - side, guess + side) for side in _AROUND_GUESS]
        found = (self._within(data, first, last) for first, last in places)
        return next((dictionary for dictionary in found if dictionary is not None), None)

    def _within(self, data: bytes, first: int, last: int) -> bytes | None:
        """The dictionary, if the bytes begin between the first and the last place."""
        start = max(first - _LONGEST_DICTIONARY, 0)
        self._file.seek(start)
        window = self._file.read(max(last, 0) + len(data) - start)
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
