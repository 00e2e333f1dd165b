"""The outlook on the terminal: in words, then the table, then what was assumed."""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from halfpoint.plan.outlook import Outlook
from halfpoint.plan.power import CurvePoint
from halfpoint.publish.power_words import (
    assumed_in_words,
    enough_in_words,
    kept_in_words,
    of_points,
    other_way_in_words,
    outlook_in_words,
    pairs_in_words,
    reach,
    seen_in_words,
    simulation_in_words,
    sure_in_words,
    times_in,
)


def print_outlook(console: Console, outlook: Outlook) -> None:
    """Show the finding, what would be enough, the table and what was assumed."""
    if outlook.title:
        _say(console, outlook.title, style="bold")
    _say(console, outlook_in_words(outlook), style="bold")
    for line in enough_in_words(outlook):
        _say(console, line)
    for said in (
        pairs_in_words(outlook),
        other_way_in_words(outlook),
        sure_in_words(outlook),
    ):
        if said:
            _say(console, said)
    for line in simulation_in_words(outlook.simulation) if outlook.simulation else ():
        _say(console, line)
    _say(
        console,
        f"\nHow often {of_points(outlook.difference)} would be told, and the least difference "
        f"told {times_in(outlook.power_wanted)}, in points",
    )
    console.print(_table(outlook))
    _print_assumed(console, outlook)


def _say(console: Console, line: str, style: str = "") -> None:
    """A sentence on one line, for the terminal to fold."""
    console.print(Text(line, style=style), soft_wrap=True)


def _table(outlook: Outlook) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    table.add_column("tasters", justify="right", no_wrap=True)
    cells = {(point.tasters, point.sites): point for point in outlook.curve}
    sites = sorted({point.sites for point in outlook.curve})
    for count in sites:
        table.add_column(f"{count:,} sites", justify="right", no_wrap=True)
    for tasters in sorted({point.tasters for point in outlook.curve}):
        row = (_cell(cells[tasters, count]) for count in sites)
        table.add_row(f"{tasters:,} each", *row)
    return table


def _cell(point: CurvePoint) -> str:
    share = round(100 * point.power)
    often = "<1 %" if share < 1 else ">99 %" if share > 99 else f"{share} %"
    return f"{often}  {reach(point.detectable)}"


def _print_assumed(console: Console, outlook: Outlook) -> None:
    _say(console, "\nAssumed:")
    for line in assumed_in_words(outlook):
        _say(console, f"  {line}")
    _say(
        console,
        f"  {_wines(outlook)}; standard error of a difference "
        f"{reach(outlook.standard_error)} points, "
        f"{outlook.degrees_of_freedom:,.0f} degrees of freedom, "
        f"level {outlook.alpha:g} two-sided",
    )
    seen = seen_in_words(outlook)
    if seen:
        _say(console, "Past tastings, standard deviations in points:")
    for line in seen:
        _say(console, f"  {line}")
    if seen:
        _say(console, "To plan with them too, write into the tasting file, under [plan]:")
        _say(console, f"  {kept_in_words(outlook)}")
    for note in outlook.notes:
        _say(console, note)
    _say(console, "Reckon with the tasters who come, not with those who are asked.")


def _wines(outlook: Outlook) -> str:
    least, most = outlook.fewest_wines_at_a_site, outlook.most_wines_at_a_site
    if least == most == outlook.wines:
        return f"{outlook.wines} wines, all at every site"
    each = f"{least}" if least == most else f"{least} to {most}"
    return f"{outlook.wines} wines, {each} at each site, shared out evenly"
