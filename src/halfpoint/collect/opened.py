"""What a file that cannot be opened is refused with, the same for every way in."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from halfpoint.errors import FileNotReadable


@contextmanager
def refusing_unreadable(path: Path, *, expected: str, remedy: str) -> Iterator[None]:
    """Turn what the system says of a file into a refusal that says what to do.

    Raises:
        FileNotReadable: the file is missing, is a folder, or cannot be read.
    """
    try:
        yield
    except (OSError, ValueError) as trouble:
        raise FileNotReadable(
            _found(trouble), where=str(path), expected=expected, remedy=remedy
        ) from None


def _found(trouble: OSError | ValueError) -> str:
    match trouble:
        case FileNotFoundError():
            return "no such file"
        case IsADirectoryError():
            return "a folder"
        case PermissionError():
            return "a file that may not be read"
    return f"a file that cannot be read ({getattr(trouble, 'strerror', None) or trouble})"
