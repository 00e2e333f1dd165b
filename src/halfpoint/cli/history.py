"""`halfpoint history`: what happened, told from the record."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated

import typer

from halfpoint.cli._record import TastingFile, new_console, open_record, print_json


def command(
    tasting_file: TastingFile,
    entry: Annotated[int | None, typer.Option(metavar="NUMBER", help="Only this entry.")] = None,
    taster: Annotated[str | None, typer.Option(metavar="NAME", help="Only this taster.")] = None,
    wine: Annotated[str | None, typer.Option(metavar="NAME", help="Only this wine.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON, entries too.")] = False,
) -> None:
    """Tell what happened: what was gathered, held, corrected, set aside, restored, revealed."""
    from halfpoint.collect.table.known_names import known_taster, known_wine
    from halfpoint.errors import NotInLedger
    from halfpoint.ledger.history import Filter, history
    from halfpoint.tasting.load import load_tasting

    tasting = load_tasting(tasting_file)
    wanted = Filter(
        entry, taster and known_taster(tasting, taster), wine and known_wine(tasting, wine)
    )
    with open_record(tasting) as ledger:
        happenings = history(ledger.records(), wanted)
    if not happenings:
        raise NotInLedger(
            "nothing of the kind is in the record",
            where="--entry, --taster, --wine",
            remedy="look at the whole: halfpoint history TASTING.toml --json",
        )
    if as_json:
        print_json([asdict(happening) for happening in happenings])
        return
    console = new_console()
    for happening in happenings:
        # One line for each file; its entries are told when asked for.
        if happening.kind != 'entry' or not wanted.all:
            when = f"{happening.made[:10]} {happening.made[11:16]}"
            console.print(f"{happening.sequence:>6}  {when}  {happening.who}: {happening.what}")
