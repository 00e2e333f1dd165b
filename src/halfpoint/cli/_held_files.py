"""The files of held rows, written for mending and never over somebody's mending."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from hashlib import sha256
from pathlib import Path

from halfpoint.collect.table.gather import HeldRow
from halfpoint.collect.table.held import held_text
from halfpoint.errors import OutputError
from halfpoint.writing import write_text_safely, writing_refusal

MOST_FILES = 1000


def write_held_files(
    path: Path, *, before: Sequence[HeldRow], now: Sequence[HeldRow], gathered: Collection[str]
) -> tuple[Path, ...]:
    """Write the rows held now to `path`, and give the files they are in.

    Rows from files that head their columns otherwise go to a file of their own
    (`held-2.csv`). A file that somebody has changed since it was written, and that was not
    gathered, is left alone and another name is taken. Files whose rows are held no longer
    are taken away.

    Args:
        path: the first file's name.
        before: the rows held when the command began, to know our own files by.
        now: the rows held now.
        gathered: SHA-256 of every file gathered, in hexadecimal.
    """
    ours = {_digest(text) for text in _texts(before)} | set(gathered)
    try:
        old = {each for each in _names(path) if each.is_file() and _digest_of(each) in ours}
    except OSError as reason:
        raise writing_refusal(path, reason) from reason
    written: list[Path] = []
    for text in _texts(now):
        place = _free_place(path, old, written)
        write_text_safely(place, text)
        written.append(place)
    for stale in old - set(written):
        stale.unlink(missing_ok=True)
    return tuple(written)


def _texts(held: Sequence[HeldRow]) -> list[str]:
    """The text of each file: rows whose columns are among those of others share one."""
    groups: dict[frozenset[str], list[HeldRow]] = {}
    for row in sorted(held, key=lambda row: -len(row.original)):
        columns = frozenset(row.original)
        widest = next((group for group in groups if columns <= group), columns)
        groups.setdefault(widest, []).append(row)
    order = {id(row): place for place, row in enumerate(held)}
    files = [sorted(rows, key=lambda row: order[id(row)]) for rows in groups.values()]
    files.sort(key=lambda rows: order[id(rows[0])])
    return [held_text(rows) for rows in files]


def _names(path: Path) -> Iterator[Path]:
    """The first name, then the numbered ones that exist without a gap."""
    yield path
    for number in range(2, MOST_FILES):
        numbered = path.with_stem(f'{path.stem}-{number}')
        if not numbered.exists():
            return
        yield numbered


def _free_place(path: Path, old: set[Path], written: Sequence[Path]) -> Path:
    for number in range(1, MOST_FILES):
        place = path if number == 1 else path.with_stem(f'{path.stem}-{number}')
        if place not in written and (place in old or not place.exists() or not place.is_file()):
            return place
    raise OutputError(
        f"{MOST_FILES - 1} files of held rows that were changed and not gathered",
        where=str(path.parent),
        remedy="gather them, or put them elsewhere",
    )


def _digest(text: str) -> str:
    return sha256(text.encode('utf-8')).hexdigest()


def _digest_of(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()
