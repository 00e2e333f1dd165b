"""From paths to the files to open, in the order people expect."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

# What lies beside scans in a folder and is surely none.
_DATA = frozenset({'.json', '.jsonl', '.csv', '.tsv', '.xlsx', '.ods', '.parquet', '.db'})
_WORDS = frozenset({'.txt', '.md', '.log', '.toml', '.ini', '.xml', '.html'})
_NO_SCANS = _DATA | _WORDS


@dataclass(frozen=True, slots=True)
class Found:
    """Files to open, and what in the folders was passed over: hidden, or surely no scan."""

    files: tuple[Path, ...]
    skipped: tuple[Path, ...]


def find_files(paths: Sequence[Path]) -> tuple[Path, ...]:
    """The files to open: what was named, and what is in the folders that were named.

    A folder is walked by name, numbers in names as numbers: page2 before page10. Nothing that was
    named is skipped, not even what is not there: `open_scan` then says so. A file that is
    reached twice is there once. What was passed over in folders is told by `look_through`.
    """
    return look_through(paths).files


def look_through(paths: Sequence[Path]) -> Found:
    """As `find_files`, with what was passed over."""
    files: dict[Path, Path] = {}
    skipped: list[Path] = []
    for path in map(Path, paths):
        for file in _walked(path, skipped) if path.is_dir() else (path,):
            files.setdefault(_whole(file), file)
    return Found(tuple(files.values()), tuple(skipped))


def natural(path: Path) -> tuple[tuple[int, int, str], ...]:
    """A sorting key for a name in which numbers count as numbers.

    >>> sorted(map(Path, ['page10.png', 'Page2.png']), key=natural)[0].name
    'Page2.png'
    """
    parts = re.split(r'([0-9]+)', path.name.casefold())
    numbered = [(0, int(part), '') if part.isdecimal() else (1, 0, part) for part in parts if part]
    return (*numbered, (2, 0, path.name))


def _walked(folder: Path, skipped: list[Path]) -> Iterator[Path]:
    try:
        inside = sorted(folder.iterdir(), key=natural)
    except OSError:
        # Opening it as a file gives the refusal that says why.
        yield folder
        return
    for path in inside:
        # A folder reached by a link could lead back up.
        if path.name.startswith('.') or (path.is_dir() and path.is_symlink()):
            skipped.append(path)
        elif path.is_dir():
            yield from _walked(path, skipped)
        elif path.suffix.lower() in _NO_SCANS:
            skipped.append(path)
        else:
            yield path


def _whole(path: Path) -> Path:
    try:
        return path.resolve()
    except (OSError, RuntimeError, ValueError):
        return path
