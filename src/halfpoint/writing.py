"""Writing a file whole or not at all."""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from halfpoint.errors import DiskFull, OutputError

_NO_SPACE = frozenset({errno.ENOSPC, errno.EDQUOT})


def write_text_safely(path: Path, text: str) -> None:
    """Write `text` as UTF-8 to `path`, whole or not at all.

    Raises:
        DiskFull: no space was left; what stood there before still stands.
        OutputError: the file could not be written for another reason.
    """
    write_bytes_safely(path, text.encode('utf-8'))


def write_bytes_safely(path: Path, content: bytes) -> None:
    """Write `content` to `path`, whole or not at all; an existing file keeps its permissions.

    The bytes go to a new file in the same folder, reach the disk, and then take the name.
    A device or pipe (`/dev/stdout`) is written to as it stands.

    Raises:
        DiskFull: no space was left; what stood there before still stands.
        OutputError: the file could not be written for another reason.
    """
    try:
        target = Path(path).resolve()
        if target.exists() and not target.is_file():
            target.write_bytes(content)
        else:
            _replace(target, content)
    except OSError as reason:
        raise writing_refusal(path, reason) from reason


@contextmanager
def writing_text_safely(path: Path) -> Iterator[Callable[[str], None]]:
    """Write a long text bit by bit: what it gives takes the next bit.

    The file takes its name when all is written; when that does not come to pass, what stood
    there before still stands. A device or pipe is written to as it comes.

    Raises:
        DiskFull, OutputError: as for `write_bytes_safely`.
    """
    target = Path(path).resolve()
    is_device = target.exists() and not target.is_file()
    draft = target if is_device else _draft(target)
    with _refusing(path):
        stream = draft.open('wb' if is_device else 'xb')

    def write(text: str) -> None:
        with _refusing(path):
            stream.write(text.encode('utf-8'))

    try:
        yield write
        with _refusing(path):
            stream.flush()
            if not is_device:
                os.fsync(stream.fileno())
                stream.close()
                _take_name(draft, target)
    finally:
        # What could not be written would fail again here.
        with suppress(OSError):
            stream.close()
        if not is_device:
            draft.unlink(missing_ok=True)


@contextmanager
def _refusing(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as reason:
        raise writing_refusal(path, reason) from reason


def make_folder_safely(path: Path) -> None:
    """Make the folder `path` and those above it; none is touched that already stands.

    Raises:
        DiskFull: no space was left.
        OutputError: the folder could not be made for another reason.
    """
    try:
        Path(path).mkdir(parents=True, exist_ok=True)
    except OSError as reason:
        raise writing_refusal(path, reason) from reason


def writing_refusal(path: Path, reason: OSError) -> OutputError:
    """The refusal to raise when writing to `path` failed for `reason`."""
    if reason.errno in _NO_SPACE:
        return DiskFull(
            "no space was left on the disk",
            where=str(path),
            remedy="make room, or choose another disk, and run the command again",
        )
    return OutputError(
        f"could not be written ({(reason.strerror or str(reason)).lower()})",
        where=str(path),
        expected="a file in a folder that exists and may be written to",
        remedy="choose another place, or allow writing there, and run the command again",
    )


def _draft(target: Path) -> Path:
    return target.with_name(f'.{target.name[:100]}.{secrets.token_hex(6)}.part')


def _replace(target: Path, content: bytes) -> None:
    draft = _draft(target)
    try:
        with draft.open('xb') as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        _take_name(draft, target)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise


def _take_name(draft: Path, target: Path) -> None:
    if target.exists():
        draft.chmod(target.stat().st_mode & 0o7777)
    draft.replace(target)
    _sync_folder(target.parent)


def _sync_folder(folder: Path) -> None:
    if os.name != 'posix':
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
