"""Pictures of pages, kept beside the record."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import pytest
from tests.ledger.paper_sample import Desk, arrived, page

from halfpoint.errors import LedgerAltered, OutputError
from halfpoint.ledger.pictures import (
    check_pictures,
    keep_picture,
    pages_with,
    picture_of,
    picture_path,
)

JPEG = b'\xff\xd8 not much of a picture \xff\xd9'


def test_a_picture_is_kept_under_what_it_holds(tmp_path: Path) -> None:
    """Its name is its SHA-256, and keeping it again changes nothing."""
    ledger = tmp_path / 'tasting.ledger'
    digest = keep_picture(ledger, JPEG)
    path = tmp_path / 'tasting.ledger.pages' / digest[:2] / f'{digest}.jpg'
    written = path.stat().st_mtime_ns

    assert hashlib.sha256(JPEG).hexdigest() == digest
    assert JPEG == picture_of(ledger, digest) == path.read_bytes()
    assert digest == keep_picture(ledger, JPEG)
    assert written == path.stat().st_mtime_ns


@pytest.mark.parametrize('left', [b'', b'another picture', None])
def test_an_altered_or_missing_picture_is_refused(tmp_path: Path, left: bytes | None) -> None:
    """It is never shown; kept again, it is whole again."""
    ledger = tmp_path / 'tasting.ledger'
    digest = keep_picture(ledger, JPEG)
    path = picture_path(ledger, digest)
    path.unlink() if left is None else path.write_bytes(left)

    with pytest.raises(LedgerAltered):
        picture_of(ledger, digest)
    keep_picture(ledger, JPEG)
    assert JPEG == picture_of(ledger, digest)


@pytest.mark.parametrize('digest', ['', '../../tasting', 'a' * 63])
def test_what_is_no_digest_opens_no_file(tmp_path: Path, digest: str) -> None:
    """No path can be made out of it."""
    with pytest.raises(LedgerAltered):
        picture_of(tmp_path / 'tasting.ledger', digest)


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """A file stands where the folder of pictures goes."""
    (tmp_path / 'tasting.ledger.pages').write_text('in the way')
    with pytest.raises(OutputError):
        keep_picture(tmp_path / 'tasting.ledger', JPEG)


def test_all_pictures_are_looked_at(tmp_path: Path) -> None:
    """Those missing and those altered are told apart, and by scan and page."""
    with Desk(tmp_path) as desk:
        ledger = desk.tasting.ledger
        digests = [keep_picture(ledger, JPEG + bytes([seat])) for seat in (1, 2, 3)]
        for seat, digest in enumerate(digests, start=1):
            desk.take(replace(arrived(page(seat=seat), seat), picture=digest))
        assert check_pictures(ledger, desk.state).holds
        picture_path(ledger, digests[0]).unlink()
        picture_path(ledger, digests[1]).write_bytes(b'x')
        found = check_pictures(ledger, desk.state)

        assert (3, (digests[0],), (digests[1],), False) == (
            found.count, found.missing, found.altered, found.holds,
        )  # fmt: skip
        assert ["scan.pdf, page 1"] == pages_with(desk.state, found.missing)
