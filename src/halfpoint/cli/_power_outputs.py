"""The outlook with its simulation, and where `power` writes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import typer
from rich.console import Console

from halfpoint import __version__
from halfpoint.cli._outputs import Outputs
from halfpoint.cli._power import Asked, AssumedVariances
from halfpoint.cli._progress import progress_bar
from halfpoint.plan.exchange import Demand, allocate
from halfpoint.plan.outlook import Outlook, Simulation, Tried, least_sites, outlook_of
from halfpoint.plan.power import MOST_SITES, numbers_around
from halfpoint.plan.precision import EvenSites, PlannedSite
from halfpoint.publish.charts.svg import Kind
from halfpoint.writing import write_bytes_safely, write_text_safely

CHART_SITES = 7


def outlook_with(tried: Tried, assumed: AssumedVariances, asked: Asked, seed: int) -> Outlook:
    """The outlook, with simulated tastings where they were asked for."""
    outlook = outlook_of(
        tried,
        assumed.variances,
        asked.question,
        sources=assumed.sources,
        version=__version__,
        notes=assumed.notes,
    )
    if not asked.simulate:
        return outlook
    return replace(outlook, simulation=_simulated(outlook, tried, assumed, asked, seed))


def _simulated(
    outlook: Outlook, tried: Tried, assumed: AssumedVariances, asked: Asked, seed: int
) -> Simulation:
    from halfpoint.demo.telling import simulate_telling

    sites = tried.sites or _shared_out(tried.even, seed)
    with progress_bar("Simulating tastings") as told:
        return simulate_telling(
            sites,
            assumed.variances,
            asked.question,
            tastings=asked.simulate,
            foreseen=outlook.power,
            seed=seed,
            progress=lambda done: told(done / asked.simulate),
        )


def _shared_out(even: EvenSites, seed: int) -> tuple[PlannedSite, ...]:
    """Like sites, the wines shared out by search where a site does not pour them all."""
    shape = (even.sites, even.wines)
    if even.each == even.wines:
        poured = np.ones(shape, dtype=bool)
    else:
        nothing = np.zeros(shape, dtype=bool)
        demand = Demand(
            np.full(even.sites, even.each),
            nothing,
            nothing,
            np.full(even.wines, even.sites),
            np.ones(even.sites),
        )
        poured = allocate(demand, np.random.default_rng(seed)).poured
    found = []
    for row in poured:
        pours = np.flatnonzero(row).tolist()
        found.append(PlannedSite(even.tasters, (*pours, *pours[: even.second_pours])))
    return tuple(found)


def write_power(
    outlook: Outlook,
    tried: Tried,
    assumed: AssumedVariances,
    asked: Asked,
    outputs: Outputs,
    picture: tuple[Path, Kind] | None,
    console: Console,
) -> None:
    """Write what was asked for and say where it is."""
    if outputs.json_to_terminal or outputs.json_path is not None:
        from halfpoint.publish.export.power import power_json

        text = power_json(outlook)
        if outputs.json_path is not None:
            write_text_safely(outputs.json_path, text)
            console.print(f"JSON: {outputs.json_path}")
        else:
            typer.echo(text, nl=False)
    if picture is not None:
        from halfpoint.publish.charts.power import power_chart, power_lines
        from halfpoint.publish.charts.svg import to_picture

        path, kind = picture
        least = least_sites(tried.even)
        sites = numbers_around(max(tried.even.sites, least), least, MOST_SITES, CHART_SITES)
        lines = power_lines(tried.even, assumed.variances, asked.question, sites)
        write_bytes_safely(path, to_picture(power_chart(lines), kind))
        console.print(f"Chart: {path}")
