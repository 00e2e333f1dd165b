"""What `letters` does before it writes: from the record to letters as data."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from rich.console import Console

from halfpoint.cli._desk_names import desk_names
from halfpoint.cli._record import open_record
from halfpoint.ledger.replay import replay
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting
from halfpoint.teach.letters.of_record import letters_of_record
from halfpoint.teach.letters.said import Letter
from halfpoint.teach.letters.write import Kind, Unwritten


def composed(
    tasting_file: Path, kinds: Collection[Kind], *, least: int, seed: int
) -> tuple[Tasting, tuple[Letter, ...], Unwritten]:
    """Weigh what the record holds, and compose the letters; see `letters_of_record`."""
    tasting = desk_names(load_tasting(tasting_file), tasting_file)
    with open_record(tasting) as record:
        state = replay(record.records())
    with Console(stderr=True).status("Weighing the marks"):
        letters, unwritten = letters_of_record(tasting, state, kinds, least=least, seed=seed)
    return tasting, letters, unwritten
