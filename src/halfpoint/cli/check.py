"""`halfpoint check`: looking the record over before weighing."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated, Any

import typer

from halfpoint.cli._record import (
    TastingFile,
    counted,
    new_console,
    open_record,
    print_json,
    print_some,
)

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.ledger.look import Doubt, Look
    from halfpoint.ledger.replay import State
    from halfpoint.tasting.model import Tasting

FIRST_LINES = 12


def command(
    tasting_file: TastingFile,
    everything: Annotated[bool, typer.Option("--all", help="List everything found.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Show what is missing, held or worth a second look. Changes nothing."""
    from halfpoint.ledger.look import look_over
    from halfpoint.tasting.load import load_tasting

    tasting = load_tasting(tasting_file)
    state = _state(tasting)
    look = look_over(state, tasting)
    if as_json:
        print_json(_as_data(tasting, state, look))
    else:
        _show(new_console(), state, look, None if everything else FIRST_LINES)


def _state(tasting: Tasting) -> State:
    """How things stand; before anything was gathered, a record of nothing."""
    from halfpoint.ledger.replay import State, replay

    if not tasting.ledger.exists():
        return State()
    with open_record(tasting) as ledger:
        return replay(ledger.records())


def _show(console: Console, state: State, look: Look, most: int | None) -> None:
    came = [entry.now for entry in state.entries.values()]
    tasters = counted(len({e.taster for e in came}), "taster", "tasters")
    console.print(f"{counted(len(came), 'entry', 'entries')} from {tasters}")
    found = _sections(state, look)
    for heading, lines in found.items():
        console.print(f"\n{heading} ({len(lines):,})", style='bold')
        print_some(console, lines, most)
    if came and not found:
        console.print("Nothing is missing, held or in need of a look.")


def _sections(state: State, look: Look) -> dict[str, list[str]]:
    sections = {
        "Not heard from: sites": list(look.sites_not_heard),
        "Not heard from: tasters": list(look.tasters_not_heard),
        "Wines nobody has marked": list(look.wines_not_marked),
        "Missing, by site and taster": [
            f"{gap.site or 'no site'}: {gap.taster} has not marked {', '.join(gap.wines)}"
            for gap in look.missing
        ],
        "Held": [
            f"{row.origin}, {row.field}: {row.found}; expected {row.expected} (held row {number})"
            for number, row in state.waiting().items()
        ],
        "No longer fit the score sheet": [_doubt(doubt) for doubt in look.misfits],
        "Worth a second look": [_doubt(doubt) for doubt in look.hints],
        "Set aside": [
            f"{standing.target} by {standing.who}: {standing.why}"
            for several in state.standing.values()
            for standing in several
        ],
    }
    return {heading: lines for heading, lines in sections.items() if lines}


def _doubt(doubt: Doubt) -> str:
    return f"entry {doubt.entry}, {doubt.taster} for {doubt.wine}, {doubt.field}: {doubt.message}"


def _as_data(tasting: Tasting, state: State, look: Look) -> dict[str, Any]:
    came = [entry.now for entry in state.entries.values()]
    return {
        'tasting': tasting.key,
        'entries': len(came),
        'counted': len(state.in_force()),
        'tasters': len({entry.taster for entry in came}),
        'sites': len({entry.site for entry in came} - {None}),
        **asdict(look),
        'held': [{'held': number, **asdict(row)} for number, row in state.waiting().items()],
        'set_aside': [
            asdict(standing) | {'target': str(standing.target)}
            for several in state.standing.values()
            for standing in several
        ],
        'revealed': state.revealed.made if state.revealed else None,
    }
