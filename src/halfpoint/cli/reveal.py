"""`halfpoint reveal`: the moment the organiser opens which wine was which."""

from __future__ import annotations

import typer

from halfpoint.cli._record import TastingFile, Who, open_record


def command(tasting_file: TastingFile, who: Who) -> None:
    """Record the reveal, and show which wine was which."""
    from halfpoint.ledger.changes import reveal
    from halfpoint.ledger.replay import replay
    from halfpoint.tasting.load import load_tasting

    tasting = load_tasting(tasting_file)
    with open_record(tasting) as ledger:
        first = reveal(ledger, who=who)
        state = replay(ledger.records())
    if first:
        typer.echo(f"Revealed by {who}.")
    elif state.revealed:
        typer.echo(f"Revealed before, by {state.revealed.who} on {state.revealed.made[:10]}.")
    codes: dict[str, set[str]] = {wine.key: set() for wine in tasting.wines}
    for entry in state.entries.values():
        if entry.now.code:
            codes.setdefault(entry.now.wine, set()).add(entry.now.code)
    for wine in tasting.wines:
        known = f"  codes {', '.join(sorted(codes[wine.key]))}" if codes[wine.key] else ""
        typer.echo(f"  {wine.key}: {wine.name}{known}")
