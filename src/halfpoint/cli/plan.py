"""`halfpoint plan`: who is poured what, when, under which code."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from halfpoint.cli._record import TastingFile, open_record

if TYPE_CHECKING:
    from halfpoint.cli._outputs import Outputs
    from halfpoint.ledger.replay import State
    from halfpoint.plan.model import Plan
    from halfpoint.tasting.model import Tasting


def command(
    tasting_file: TastingFile,
    into: Annotated[
        Path, typer.Option(metavar="DIR", help="Folder for the plan; made when it is not there.")
    ],
    seed: Annotated[int, typer.Option(min=0, help="The same number draws the same plan.")] = 20,
    json_to: Annotated[
        str | None, typer.Option("--json", metavar="FILE|-", help="Write the plan there as well.")
    ] = None,
    who: Annotated[
        str, typer.Option(metavar="NAME", help="Who plans; kept in the record.")
    ] = "organiser",
    afresh: Annotated[
        bool, typer.Option("--afresh", help="Keep nothing of the plan in the record.")
    ] = False,
) -> None:
    """Plan the pours: serving orders, blind codes, bottles, money, alcohol.

    Run again after a change, it keeps every code, bag and order already planned.
    """
    from halfpoint.cli._outputs import check_outputs
    from halfpoint.cli._plan_view import print_plan
    from halfpoint.cli._result_view import new_result_console
    from halfpoint.tasting.load import load_tasting

    tasting = load_tasting(tasting_file)
    outputs = check_outputs(json_to=json_to, csv_to=None, report=None, paper="a4")
    _check_folder(into)
    state = _recorded(tasting, who)
    plan, new = _planned(tasting, state, seed, afresh=afresh)
    written = _written(tasting, plan, into, outputs)
    if new:
        _record(tasting, plan, state, afresh=afresh, who=who)
    _write(written, plan, outputs)
    console = new_result_console(quiet=outputs.json_to_terminal)
    print_plan(console, tasting, plan)
    what = "in the record now" if new else "as it is in the record"
    console.print(f"The plan is {what}. {', '.join(path.name for path in written)} in {into}")
    console.print("They name the wine behind each code: keep them from tasters until the reveal.")


def _check_folder(into: Path) -> None:
    from halfpoint.errors import OutputError

    if into.exists() and not into.is_dir():
        raise OutputError(f"{into} is a file", where="--into", expected="a folder")


def _recorded(tasting: Tasting, who: str) -> State:
    """How things stand; a record that is not there yet is not begun for looking."""
    from halfpoint.ledger.replay import State, replay
    from halfpoint.ledger.stores import is_begun

    if not is_begun(tasting.ledger):
        return State()
    with open_record(tasting, who=who) as ledger:
        return replay(ledger.records())


def _planned(tasting: Tasting, state: State, seed: int, *, afresh: bool) -> tuple[Plan, bool]:
    """The plan, and whether it says anything that the recorded one does not."""
    from halfpoint.cli._planned import recorded_plan
    from halfpoint.cli._progress import progress_bar
    from halfpoint.ledger.planned import refuse_afresh
    from halfpoint.plan.export import same_plan
    from halfpoint.plan.make import make_plan

    if afresh:
        refuse_afresh(state)
    before = recorded_plan(state)
    with progress_bar("Sharing out the wines") as progress:
        plan = make_plan(tasting, seed=seed, previous=None if afresh else before, progress=progress)
    if before is not None and same_plan(plan, before):
        return before, False
    return plan, True


def _written(tasting: Tasting, plan: Plan, into: Path, outputs: Outputs) -> dict[Path, str]:
    """Every file with its text, all made before the first is written."""
    from halfpoint.plan.export import plan_json
    from halfpoint.publish.export import plan_tables

    text = plan_json(plan)
    files = {into / 'plan.json': text}
    files |= {into / name: table for name, table in plan_tables(plan, tasting).items()}
    return files | ({outputs.json_path: text} if outputs.json_path else {})


def _record(tasting: Tasting, plan: Plan, state: State, *, afresh: bool, who: str) -> None:
    from halfpoint.ledger.planned import record_plan
    from halfpoint.plan.export import plan_data

    with open_record(tasting, create=True, who=who) as ledger:
        record_plan(ledger, plan_data(plan), after=state.planned, afresh=afresh, who=who)


def _write(written: dict[Path, str], plan: Plan, outputs: Outputs) -> None:
    from halfpoint.plan.export import plan_json
    from halfpoint.writing import make_folder_safely, write_text_safely

    for path, text in written.items():
        if path != outputs.json_path:
            make_folder_safely(path.parent)
        write_text_safely(path, text)
    if outputs.json_to_terminal:
        typer.echo(plan_json(plan), nl=False)
