"""The scores of a run, a line each in a file, so that a run that was stopped can go on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from measure.paper_score import PageScore

_PAGE = TypeAdapter(PageScore)


class Lines:
    """The file of one run: begun anew, or gone on with."""

    def __init__(self, path: Path, *, resume: bool) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        self._path = path
        if not resume:
            path.unlink(missing_ok=True)
        self._cut_torn()

    def __iter__(self) -> Iterator[PageScore]:
        if self._path.exists():
            with self._path.open('rb') as file:
                yield from (_PAGE.validate_json(line) for line in file)

    def append(self, score: PageScore) -> None:
        """One more page, on the disk when this returns."""
        with self._path.open('ab') as file:
            file.write(_PAGE.dump_json(score) + b'\n')

    def _cut_torn(self) -> None:
        """Take away a last line that was not written to its end."""
        if not self._path.exists():
            return
        written = self._path.read_bytes()
        whole = written[: written.rfind(b'\n') + 1]
        if whole:
            try:
                _PAGE.validate_json(whole.splitlines()[-1])
            except ValidationError as reason:
                raise ValueError(f'{self._path} is no file of this bench') from reason
        if whole != written:
            self._path.write_bytes(whole)
