"""A site's bundle into the record."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from halfpoint.errors import FileNotReadable, UsageError

if TYPE_CHECKING:
    from halfpoint.collect.table.poured import Poured
    from halfpoint.ledger.bundle import BundleTaken
    from halfpoint.ledger.ledger import Ledger
    from halfpoint.ledger.replay import State
    from halfpoint.tasting.model import Tasting


def is_bundle(file: Path) -> bool:
    """Whether a file is called as bundles are."""
    return '.halfpoint-site.json' in file.name


def take_bundle(
    tasting: Tasting, poured: Poured | None, ledger: Ledger, state: State, file: Path, who: str
) -> BundleTaken:
    """Record the sheets of a bundle; those that are there already add nothing.

    Raises:
        FileNotReadable: it cannot be read.
        InputError: it is cut off or altered, or of another tasting.
        UsageError: nothing is planned, so that codes tell no wine.
    """
    from halfpoint.collect.phone.filled import Desk
    from halfpoint.collect.phone.when import too_early_or_late
    from halfpoint.ledger.bundle import counted, read_bundle, sheets_in
    from halfpoint.ledger.from_phone import take_sheets

    bundle = read_bundle(_bytes_of(file), tasting=tasting.key, where=str(file))
    if poured is None:
        raise UsageError(
            "a bundle, and no plan in the record",
            where=str(file),
            expected="the plan by which the wines were poured",
            remedy="gather it where the tasting was planned",
        )
    closed = None if state.revealed is None else too_early_or_late(tasting, 'revealed')
    arrived = sheets_in(bundle, Desk(tasting, poured, closed))
    return counted(arrived, take_sheets(ledger, arrived, who=who, state=state))


def _bytes_of(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as reason:
        raise FileNotReadable(
            (reason.strerror or str(reason)).lower(),
            where=str(file),
            expected="a bundle of a site",
            remedy="look whether the name is right and the file may be read",
        ) from reason
