"""`halfpoint verify`: whether the record is as it was written."""

from __future__ import annotations

from typing import Annotated

import typer

from halfpoint.cli._record import TastingFile, counted, open_record

FEWEST_DIGITS = 16


def command(
    tasting_file: TastingFile,
    head: Annotated[
        str, typer.Option(metavar="HASH", help="A head noted down earlier, or its first 16 digits.")
    ] = "",
) -> None:
    """Walk the record from its start and show that nothing was altered."""
    from halfpoint.errors import LedgerAltered
    from halfpoint.tasting.load import load_tasting

    noted = _noted(head)
    tasting = load_tasting(tasting_file)
    with open_record(tasting) as ledger:
        result = ledger.verify(noted)
    if not result.holds:
        at = f", record {result.broken_at}" if result.broken_at else ""
        raise LedgerAltered(
            result.what,
            where=f"{tasting.ledger}{at}",
            expected=f"what was written; {counted(result.records, 'record', 'records')} hold",
            remedy="keep this file as it is, and go back to the last copy that verifies",
        )
    typer.echo(f"{counted(result.records, 'record', 'records')}, each as it was written.")
    if result.noted_at:
        typer.echo(f"The head you noted is record {result.noted_at}; all up to it is unchanged.")
    typer.echo(f"Head: {result.head}")
    if not noted:
        typer.echo("Note the head down: with --head it shows later that nothing was cut off.")


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
