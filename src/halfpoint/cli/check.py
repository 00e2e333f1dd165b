"""`halfpoint check`: looking the record over before weighing."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
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
        _show(new_console(), tasting_file, state, look, None if everything else FIRST_LINES)


def _state(tasting: Tasting) -> State:
    """How things stand; before anything was gathered, a record of nothing."""
    from halfpoint.ledger.replay import State, replay
    from halfpoint.ledger.stores import is_begun

    if not is_begun(tasting.ledger):
        return State()
    with open_record(tasting) as ledger:
        return replay(ledger.records())


def _show(console: Console, tasting_file: Path, state: State, look: Look, most: int | None) -> None:
    came = [entry.now for entry in state.entries.values()]
    tasters = counted(len({e.taster for e in came}), "taster", "tasters")
    console.print(f"{counted(len(came), 'entry', 'entries')} from {tasters}")
    found = _sections(state, look) | _paper_section(state, tasting_file)
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


def _paper_section(state: State, tasting_file: Path) -> dict[str, list[str]]:
    """What waits on paper; no wine is named."""
    marks, pages = _doubtful(state)
    others = len(state.papers.others)
    review = f"halfpoint read {tasting_file} --review"
    lines = []
    if marks:
        needs = counted(marks, "doubtful mark needs", "doubtful marks need")
        lines.append(f"{needs} a look, on {counted(pages, 'page', 'pages')}: {review}")
    if others:
        wait = counted(others, "page has", "pages have")
        lines.append(f"{wait} another picture that says something else: {review}")
    for number, held in state.pages_held().items():
        page = held.page
        reason = page.held
        if reason is not None:
            said = f"{reason.found}; {reason.remedy}"
            lines.append(f"{page.file}, page {page.page}: {said} (held page {number})")
    return {"On paper": lines} if lines else {}


def _doubtful(state: State) -> tuple[int, int]:
    """How many marks wait for a person, and on how many pages."""
    looks = [sum(1 for _ in page.open_looks()) for page in state.papers.pages.values()]
    return sum(looks), sum(map(bool, looks))


def _paper_data(state: State) -> dict[str, Any]:
    marks, pages = _doubtful(state)
    return {
        'pages': sum(page.stands for page in state.papers.pages.values()),
        'doubtful_marks': marks,
        'doubtful_pages': pages,
        'other_pictures': list(state.papers.others),
        'held': [
            {'held': number, 'file': page.page.file, 'page': page.page.page}
            | (asdict(page.page.held) if page.page.held else {})
            for number, page in state.pages_held().items()
        ],
    }


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
        'paper': _paper_data(state),
        'revealed': state.revealed.made if state.revealed else None,
    }
