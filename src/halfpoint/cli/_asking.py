"""What reviewing and auditing share: a line from a person, a picture, words for a line."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.tasting.model import Tasting


def say_field(tasting: Tasting, name: str, about: str) -> str:
    """A line or box in the words of the sheet."""
    from halfpoint.ledger import look_words

    return look_words.say_field(tasting, name, about)


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
        return picture_of(tasting.beside, digest)
    except LedgerAltered:
        return None
