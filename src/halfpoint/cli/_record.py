"""What the commands on the record share: opening it, and how they speak."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.ledger.ledger import Ledger
    from halfpoint.tasting.model import Tasting

TastingFile = Annotated[Path, typer.Argument(metavar="TASTING.toml", help="The tasting file.")]
Who = Annotated[str, typer.Option(metavar="NAME", help="Who decides; kept in the record.")]
Why = Annotated[str, typer.Option(metavar="REASON", help="For what reason; kept in the record.")]


def open_record(tasting: Tasting, *, create: bool = False, who: str = "organiser") -> Ledger:
    """The record of this tasting."""
    from halfpoint.ledger.ledger import Ledger

    return Ledger.open(
        tasting.ledger,
        tasting_key=tasting.key,
        title=tasting.title,
        sheet=tasting.sheet.key,
        who=who,
        create=create,
    )


def new_console() -> Console:
    """Where the commands speak: plain words, no markup read into names and remarks."""
    from rich.console import Console

    return Console(markup=False, highlight=False, emoji=False, soft_wrap=True)


def print_json(value: Any) -> None:
    """Print as JSON, letters as they are."""
    typer.echo(json.dumps(value, indent=2, ensure_ascii=False))


def counted(count: int, one: str, many: str) -> str:
    """`1 entry`, `1,204 entries`."""
    return f"{count:,} {one if count == 1 else many}"


def print_some(console: Console, lines: Sequence[str], most: int | None) -> None:
    """Print the first lines, and say how many more there are."""
    for line in lines[:most]:
        console.print(f"  {line}")
    if most is not None and len(lines) > most:
        console.print(f"  and {len(lines) - most:,} more (--all shows them)")
