"""The pictures of pages, kept in files beside the record under the SHA-256 of what they hold.

The picture `ab12…` of the record `tasting.ledger` is `tasting.ledger.pages/ab/ab12….jpg`.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from halfpoint.errors import LedgerAltered
from halfpoint.ledger.replay import State
from halfpoint.writing import write_bytes_safely, writing_refusal

_DIGEST = re.compile(r'[0-9a-f]{64}')
_REMEDY = "take it from the last copy of the record and its pictures, or read the scan again"


@dataclass(frozen=True, slots=True)
class PicturesChecked:
    """How many pictures the record refers to, and which are not there, or not as they were."""

    count: int
    missing: tuple[str, ...]
    altered: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Whether all are there as they were."""
        return not (self.missing or self.altered)


def picture_path(ledger_path: Path, digest: str) -> Path:
    """Where the picture with this SHA-256 is kept."""
    return ledger_path.with_name(f'{ledger_path.name}.pages') / digest[:2] / f'{digest}.jpg'


def keep_picture(ledger_path: Path, jpeg: bytes) -> str:
    """Keep a picture, and give its SHA-256; on disk when this returns.

    To be called before the record refers to it.

    Raises:
        DiskFull, OutputError: it could not be written.
    """
    digest = hashlib.sha256(jpeg).hexdigest()
    path = picture_path(ledger_path, digest)
    if not _is_kept(path, digest):
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as reason:
            raise writing_refusal(path, reason) from reason
        write_bytes_safely(path, jpeg)
    return digest


def picture_of(ledger_path: Path, digest: str) -> bytes:
    """The picture with this SHA-256.

    Raises:
        LedgerAltered: it is not there, or is another.
    """
    path = picture_path(ledger_path, digest)
    jpeg = _bytes_of(path) if _DIGEST.fullmatch(digest) else None
    if jpeg is None:
        raise LedgerAltered(
            "the picture of a page is not there",
            where=str(path) if digest else "a page recorded without a picture",
            remedy=_REMEDY,
        )
    if hashlib.sha256(jpeg).hexdigest() != digest:
        raise LedgerAltered(
            "the picture of a page is not as it was kept", where=str(path), remedy=_REMEDY
        )
    return jpeg


def check_pictures(ledger_path: Path, state: State) -> PicturesChecked:
    """Look whether every picture that the record refers to is there as it was."""
    digests = dict.fromkeys(p.page.picture for p in state.papers.pages.values() if p.page.picture)
    missing, altered = [], []
    for digest in digests:
        jpeg = _bytes_of(picture_path(ledger_path, digest))
        if jpeg is None:
            missing.append(digest)
        elif hashlib.sha256(jpeg).hexdigest() != digest:
            altered.append(digest)
    return PicturesChecked(len(digests), tuple(missing), tuple(altered))


def pages_with(state: State, digests: Iterable[str]) -> list[str]:
    """The scans and pages whose pictures these are, in words."""
    wanted = set(digests)
    pages = (state.page for state in state.papers.pages.values())
    return [f"{page.file}, page {page.page}" for page in pages if page.picture in wanted]


def _is_kept(path: Path, digest: str) -> bool:
    kept = _bytes_of(path)
    return kept is not None and hashlib.sha256(kept).hexdigest() == digest


def _bytes_of(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except OSError:
        return None
