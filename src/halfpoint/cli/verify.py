"""`halfpoint verify`: whether the record is as it was written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from halfpoint.cli._record import TastingFile, counted, open_record

if TYPE_CHECKING:
    from halfpoint.ledger.replay import State

FEWEST_DIGITS = 16
MOST_PAGES = 5


def command(
    tasting_file: TastingFile,
    head: Annotated[
        str, typer.Option(metavar="HASH", help="A head noted down earlier, or its first 16 digits.")
    ] = "",
) -> None:
    """Walk the record from its start and show that nothing was altered."""
    from halfpoint.errors import LedgerAltered
    from halfpoint.ledger.replay import replay
    from halfpoint.tasting.load import load_tasting

    noted = _noted(head)
    tasting = load_tasting(tasting_file)
    with open_record(tasting) as ledger:
        result = ledger.verify(noted)
        state = replay(ledger.records()) if result.holds else None
    if not result.holds:
        at = f", record {result.broken_at}" if result.broken_at else ""
        raise LedgerAltered(
            result.what,
            where=f"{tasting.ledger}{at}",
            expected=f"what was written; {counted(result.records, 'record', 'records')} hold",
            remedy="keep the record as it is, and go back to the last copy that verifies",
        )
    typer.echo(f"{counted(result.records, 'record', 'records')}, each as it was written.")
    if state is not None:
        _verify_pictures(tasting.beside, state)
    if result.noted_at:
        typer.echo(f"The head you noted is record {result.noted_at}; all up to it is unchanged.")
    typer.echo(f"Head: {result.head}")
    if not noted:
        typer.echo("Note the head down: with --head it shows later that nothing was cut off.")


def _verify_pictures(beside: Path, state: State) -> None:
    from halfpoint.errors import LedgerAltered
    from halfpoint.ledger.pictures import check_pictures, pages_with

    found = check_pictures(beside, state)
    if found.holds:
        if found.count:
            typer.echo(f"{counted(found.count, 'picture', 'pictures')} of pages, as kept.")
        return
    pages = pages_with(state, (*found.missing, *found.altered))
    more = f" and {len(pages) - MOST_PAGES:,} more" if len(pages) > MOST_PAGES else ""
    raise LedgerAltered(
        f"{counted(len(found.missing), 'picture is', 'pictures are')} missing and "
        f"{len(found.altered):,} altered, of {found.count:,}",
        where=f"{beside}.pages: {'; '.join(pages[:MOST_PAGES])}{more}",
        expected="the pictures of pages that the record refers to, each as it was kept",
        remedy="take them from the last copy; every record holds, so no mark is in doubt",
    )


def _noted(head: str) -> str:
    from halfpoint.errors import UsageError

    noted = ''.join(head.split()).lower()
    if noted and not (FEWEST_DIGITS <= len(noted) <= 64 and set(noted) <= set('0123456789abcdef')):
        raise UsageError(
            f"'{head}'",
            where="--head",
            expected=f"{FEWEST_DIGITS} to 64 of the digits 0-9 and a-f, as verify printed them",
        )
    return noted
