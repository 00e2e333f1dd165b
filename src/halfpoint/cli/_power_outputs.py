"""The outlook with its simulation, and where `power` writes."""

from __future__ import annotations

import os
from collections.abc import Sequence, Set
from dataclasses import dataclass, replace
from pathlib import Path
from typing import get_args

import numpy as np
import typer
from rich.console import Console

from halfpoint import __version__
from halfpoint.cli._power import Asked, AssumedVariances
from halfpoint.cli._progress import progress_bar
from halfpoint.errors import OutputError, UsageError
from halfpoint.plan.exchange import Demand, allocate
from halfpoint.plan.outlook import Outlook, Simulation, Tried, least_sites, outlook_of
from halfpoint.plan.power import MOST_SITES, numbers_around
from halfpoint.plan.precision import EvenSites, PlannedSite
from halfpoint.publish.charts.svg import Kind
from halfpoint.writing import write_bytes_safely, write_text_safely

CHART_SITES = 7
MOST_MARKS = 2_000_000


@dataclass(frozen=True, slots=True)
class Where:
    """Where to write, checked. `json_to_terminal` puts the JSON alone on standard output."""

    json_path: Path | None
    json_to_terminal: bool
    chart: Path | None
    kind: Kind


def where_to_write(json_to: str | None, chart: Path | None, read: Sequence[Path | None]) -> Where:
    """Refuse now what would fail after the work.

    Args:
        json_to: a file, - for standard output, or None.
        chart: a file, or None.
        read: files that must not be written over.

    Raises:
        UsageError: an ending that is none of .svg, .png, .pdf, or one file for two things.
        OutputError: a folder that is not there or may not be written.
    """
    json_path = None if json_to in (None, '-') else Path(str(json_to))
    kinds: dict[str, Kind] = {f'.{kind}': kind for kind in get_args(Kind)}
    kind = kinds.get('.svg' if chart is None else chart.suffix.lower())
    if kind is None:
        raise UsageError(
            f'{chart}', where='--chart', expected='a name ending in .svg, .png or .pdf'
        )
    taken = {path.resolve() for path in read if path is not None}
    for option, path in (('--json', json_path), ('--chart', chart)):
        if path is not None:
            _check_file(option, path, taken)
            taken.add(path.resolve())
    return Where(json_path, json_to == '-', chart, kind)


def _check_file(option: str, path: Path, taken: Set[Path]) -> None:
    if path.is_dir() or not path.parent.is_dir():
        found = f'{path} is a folder' if path.is_dir() else f'no folder {path.parent}'
        raise OutputError(found, where=option, remedy='give a file in a folder that exists')
    if not os.access(path.parent, os.W_OK):
        raise OutputError(
            f'{path.parent} may not be written to', where=option, remedy='choose another folder'
        )
    if path.resolve() in taken:
        raise UsageError(
            f'{path} is read or written already', where=option, expected='a file of its own'
        )


def outlook_with(tried: Tried, assumed: AssumedVariances, asked: Asked, seed: int) -> Outlook:
    """The outlook, with simulated tastings where they were asked for."""
    outlook = outlook_of(
        tried,
        assumed.variances,
        asked.question,
        sources=assumed.sources,
        past=assumed.past,
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

    marks = sum(tried.tasters) * max(tried.wines)
    if marks > MOST_MARKS:
        raise UsageError(
            f'tastings of {marks:,} marks each',
            where='--simulate',
            expected=f'at most {MOST_MARKS:,} marks in a tasting',
            remedy='simulate fewer sites or tasters',
        )
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
    where: Where,
    console: Console,
) -> None:
    """Write what was asked for and say where it is."""
    if where.json_to_terminal or where.json_path is not None:
        from halfpoint.publish.export.power import power_json

        text = power_json(outlook)
        if where.json_path is not None:
            write_text_safely(where.json_path, text)
            console.print(f"JSON: {where.json_path}")
        else:
            typer.echo(text, nl=False)
    if where.chart is not None:
        from halfpoint.publish.charts.power import power_chart, power_lines
        from halfpoint.publish.charts.svg import to_picture

        least = least_sites(tried.even)
        sites = numbers_around(max(tried.even.sites, least), least, MOST_SITES, CHART_SITES)
        lines = power_lines(tried.even, assumed.variances, asked.question, sites)
        write_bytes_safely(where.chart, to_picture(power_chart(lines), where.kind))
        console.print(f"Chart: {where.chart}")
