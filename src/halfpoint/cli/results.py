"""`halfpoint results`: from marks to the result that can be defended."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Source = Annotated[
    Path,
    # Reading says better than the command line why a file cannot be read.
    typer.Argument(
        readable=False, help="A table of marks, or a tasting file (then from its record)."
    ),
]


def command(
    source: Source,
    sheet: Annotated[
        str | None,
        typer.Option("--sheet", metavar="NAME|FILE", help="The score sheet of a table."),
    ] = None,
    mark: Annotated[
        str | None,
        typer.Option("--mark", metavar="COLUMN", help="Weigh this numeric column as the mark."),
    ] = None,
    wines: Annotated[
        str, typer.Option("--wines", metavar="fixed|random", help="How wines are taken.")
    ] = "fixed",
    effects: Annotated[
        str | None,
        typer.Option(
            "--effects",
            metavar="taster,site,bottle",
            help="Random effects; by default all that the table supports; 'none' for none.",
        ),
    ] = None,
    covariate: Annotated[
        list[str] | None,
        typer.Option("--covariate", metavar="COLUMN", help="Adjust for this column."),
    ] = None,
    column_map: Annotated[
        list[str] | None,
        typer.Option("--map", metavar="ROLE=COLUMN", help="Say what a column is."),
    ] = None,
    json_to: Annotated[
        str | None,
        typer.Option("--json", metavar="FILE|-", help="Write everything as JSON."),
    ] = None,
    csv_to: Annotated[
        Path | None,
        typer.Option("--csv", metavar="DIR", help="Write tables as CSV files into a folder."),
    ] = None,
    report: Annotated[
        Path | None,
        typer.Option("--report", metavar="FILE.pdf", help="Write the report."),
    ] = None,
    paper: Annotated[
        str, typer.Option("--paper", metavar="a4|letter", help="Paper of the report.")
    ] = "a4",
    years: Annotated[
        Path | None,
        typer.Option(
            "--years",
            metavar="YEARS.json",
            help="Start each taster's own figures from earlier years, as `years --json` wrote.",
        ),
    ] = None,
    society: Annotated[
        Path | None,
        typer.Option("--society", metavar="FILE", help="The society's key, beside --years."),
    ] = None,
    fresh: Annotated[
        bool,
        typer.Option("--fresh", help="Without earlier years, even if the tasting file names them."),
    ] = False,
    least: Annotated[
        int,
        typer.Option(
            "--least", min=1, metavar="N", help="Leave out wines and tasters with fewer marks."
        ),
    ] = 5,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Seed of the drawn figures.")] = 20,
) -> None:
    """Weigh the marks: scores, how sure, what cannot be told apart, and a report."""
    from halfpoint.cli._account import print_account
    from halfpoint.cli._outputs import check_outputs, keep_held, write_outputs
    from halfpoint.cli._result_view import new_result_console, print_result
    from halfpoint.cli._weighing import Asked, Past, gather_marks, refuse_nothing, weigh

    asked = Asked.from_options(
        source=source,
        sheet=sheet,
        mark=mark,
        wines=wines,
        effects=effects,
        covariates=tuple(covariate or ()),
        mapping=tuple(column_map or ()),
        seed=seed,
        least=least,
        past=Past(years, society, fresh=fresh),
    )
    outputs = check_outputs(
        source=source, json_to=json_to, csv_to=csv_to, report=report, paper=paper
    )
    console = new_result_console(quiet=outputs.json_to_terminal)
    if report is not None:
        # The drawing engine starts while the marks are read and weighed.
        from halfpoint.publish.charts.svg import warm_up

        warm_up()
    collected = gather_marks(asked)
    keep_held(outputs, collected)
    refuse_nothing(collected)
    if collected.gathered is not None:
        print_account(console, collected.gathered)
    findings = weigh(asked, collected, console)
    print_result(console, findings, told=collected.told)
    write_outputs(outputs, findings, collected, console)
