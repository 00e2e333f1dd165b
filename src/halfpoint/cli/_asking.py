"""What reviewing and auditing share: a line from a person, a picture, words for a line."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.tasting.model import Tasting

ABOUT = {
    'total': "Written total",
    'code': "Code",
    'seat': "Seat or taster",
}


def say_field(tasting: Tasting, name: str, about: str) -> str:
    """A line or box in the words of the sheet."""
    sheet = tasting.sheet
    if name in sheet.categories_by_key:
        return sheet.category(name).label
    if name in ABOUT:
        return ABOUT[name]
    labels = {
        **{('term', key): term.label for key, term in sheet.terms_by_key.items()},
        **{('family', family.key): family.label for family in sheet.families},
        **{('fault', key): fault.label for key, fault in sheet.faults_by_key.items()},
        **{('band', band.label): f"finish {band.label}" for band in sheet.finish},
    }
    return f"Box {labels.get((name, about), about)}"


def typed(console: Console) -> str | None:
    """A line from standard input; None at its end."""
    console.print("> ", end="")
    console.file.flush()
    line = sys.stdin.readline()
    return line.rstrip('\n') if line else None


def print_raw(text: str) -> None:
    """Print as it is, colours included."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def kept(tasting: Tasting, digest: str) -> bytes | None:
    """The kept picture of a page; None when it is not there any more."""
    from halfpoint.errors import LedgerAltered
    from halfpoint.ledger.pictures import picture_of

    try:
        return picture_of(tasting.ledger, digest)
    except LedgerAltered:
        return None
