"""`halfpoint power`: how many tasters and sites are enough."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def command(
    tasting_file: Annotated[
        Path | None,
        typer.Argument(metavar="TASTING.toml", help="The tasting file; not needed."),
    ] = None,
    sites: Annotated[
        int | None, typer.Option("--sites", metavar="S", help="How many sites; else 12.")
    ] = None,
    tasters: Annotated[
        int | None,
        typer.Option("--tasters", metavar="N", help="How many tasters at each site; else 10."),
    ] = None,
    wines: Annotated[
        int | None, typer.Option("--wines", metavar="V", help="How many wines in all; else 8.")
    ] = None,
    each: Annotated[
        int | None,
        typer.Option("--each", metavar="K", help="How many wines each site pours; else all."),
    ] = None,
    difference: Annotated[
        float,
        typer.Option("--difference", metavar="D", help="Difference of two wines, in points."),
    ] = 0.5,
    wanted: Annotated[
        float, typer.Option("--power", metavar="P", help="How often is often enough, 0 to 1.")
    ] = 0.8,
    alpha: Annotated[
        float, typer.Option("--alpha", metavar="A", help="Two-sided level of the test.")
    ] = 0.05,
    all_pairs: Annotated[
        bool,
        typer.Option("--all-pairs", help="Ask all pairs of wines at once, as the report does."),
    ] = False,
    taster_sd: Annotated[
        float | None,
        typer.Option("--taster-sd", metavar="POINTS", help="One taster from another."),
    ] = None,
    site_sd: Annotated[
        float | None, typer.Option("--site-sd", metavar="POINTS", help="One room from another.")
    ] = None,
    bottle_sd: Annotated[
        float | None,
        typer.Option(
            "--bottle-sd", metavar="POINTS", help="One room's bottle from another's, same wine."
        ),
    ] = None,
    residual_sd: Annotated[
        float | None,
        typer.Option(
            "--residual-sd", metavar="POINTS", help="One mark from the next, all else alike."
        ),
    ] = None,
    past: Annotated[
        list[Path] | None,
        typer.Option(
            "--from",
            metavar="PAST.json|.toml",
            help="Take these four from a past tasting: its result as `results --json` wrote it, "
            "its tasting file, or a table of marks; may be given again.",
        ),
    ] = None,
    mark: Annotated[
        str | None,
        typer.Option("--mark", metavar="COLUMN", help="The mark of a table given with --from."),
    ] = None,
    simulate: Annotated[
        int | None,
        typer.Option("--simulate", metavar="N", help="Check by weighing N simulated tastings."),
    ] = None,
    json_to: Annotated[
        str | None, typer.Option("--json", metavar="FILE|-", help="Write everything as JSON.")
    ] = None,
    chart: Annotated[
        Path | None,
        typer.Option("--chart", metavar="FILE.svg|.png|.pdf", help="Draw the power curves."),
    ] = None,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Seed of what is drawn.")] = 20,
) -> None:
    """Say how many tasters and sites are enough to tell two wines apart."""
    from halfpoint.cli._power import Numbers, asked_of, tried_of, variances_of
    from halfpoint.cli._power_outputs import outlook_with, where_to_write, write_power
    from halfpoint.cli._power_past import past_tastings
    from halfpoint.cli._power_view import print_outlook
    from halfpoint.cli._result_view import new_result_console
    from halfpoint.tasting.load import load_tasting

    asked = asked_of(difference, wanted, alpha, all_pairs=all_pairs, simulate=simulate)
    where = where_to_write(json_to, chart, (tasting_file, *(past or ())))
    tasting = None if tasting_file is None else load_tasting(tasting_file)
    tried = tried_of(tasting, Numbers(sites, tasters, wines, each), seed)
    given = {'taster': taster_sd, 'site': site_sd, 'bottle': bottle_sd, 'residual': residual_sd}
    assumed = variances_of(given, past_tastings(past or (), mark, tasting), tasting, tried)
    outlook = outlook_with(tried, assumed, asked, seed)
    console = new_result_console(quiet=where.json_to_terminal)
    print_outlook(console, outlook)
    write_power(outlook, tried, assumed, asked, where, console)
