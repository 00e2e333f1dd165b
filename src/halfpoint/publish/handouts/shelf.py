"""A folder that is filled whole or not at all."""

from __future__ import annotations

import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePath

from halfpoint.writing import make_folder_safely, writing_refusal


class Shelf:
    """Files on their way into a folder: beside it until all are there."""

    def __init__(self, into: Path, draft: Path) -> None:
        self._into = into
        self._draft = draft
        self._files: list[PurePath] = []

    def put(self, file: PurePath, content: bytes) -> None:
        """Keep a file under a path relative to the folder.

        Raises:
            DiskFull: no space was left.
            OutputError: it could not be written for another reason.
        """
        try:
            place = self._draft / file
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(content)
        except OSError as reason:
            raise writing_refusal(self._into / file, reason) from reason
        self._files.append(file)

    def lay_out(self) -> None:
        """Give every file its name in the folder."""
        for file in self._files:
            target = self._into / file
            try:
                target.parent.mkdir(parents=True, exist_ok=True)
                (self._draft / file).replace(target)
            except OSError as reason:
                raise writing_refusal(target, reason) from reason


@contextmanager
def filling(into: Path) -> Iterator[Shelf]:
    """Fill the folder `into`, made when it is not there; what fails leaves it as it was.

    Raises:
        DiskFull: no space was left.
        OutputError: the folder cannot be made or written to.
    """
    there = into.exists()
    make_folder_safely(into)
    draft = into / f'.papers-{secrets.token_hex(6)}.part'
    done = False
    try:
        try:
            draft.mkdir()
        except OSError as reason:
            raise writing_refusal(into, reason) from reason
        shelf = Shelf(into, draft)
        yield shelf
        shelf.lay_out()
        done = True
    finally:
        shutil.rmtree(draft, ignore_errors=True)
        if not done and not there:
            shutil.rmtree(into, ignore_errors=True)
