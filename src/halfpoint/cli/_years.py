"""What `years` does: the society's key, tastings joined, and what others take from that."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import typer
from rich.console import Console

from halfpoint.cli._outputs import check_outputs
from halfpoint.cli._record import counted, open_record
from halfpoint.errors import UsageError
from halfpoint.estimate.findings import Findings
from halfpoint.ledger.replay import State, replay
from halfpoint.publish.export.document import document, plain
from halfpoint.publish.export.read_back import read_result
from halfpoint.publish.from_record import marks_of_state
from halfpoint.publish.numbers import number
from halfpoint.publish.whole_result import Depth, whole_result
from halfpoint.publish.words import spoken
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting
from halfpoint.teach import society as secret
from halfpoint.teach.own_past import day_of, members_met
from halfpoint.teach.years import Year, Years, goes_along, in_order, write_years, year_of


def begin_society(path: Path, tastings: Sequence[Path]) -> None:
    """Make the society's key, and say what to do with it."""
    if tastings:
        raise UsageError("--begin beside tastings", where="years", expected="one after the other")
    secret.begin_society(path)
    typer.echo(f"Made {path}. Keep it with the tastings, and a copy elsewhere, and show it nobody:")
    typer.echo("with it, and only with it, members are known again from year to year.")


def say_pseudonym(society: Path, member: str) -> None:
    """The pseudonym of a member, alone on its line."""
    typer.echo(secret.pseudonym(secret.read_society(society), member))


def join_tastings(paths: Sequence[Path], society: Path, json_to: Path | None, seed: int) -> None:
    """Weigh the tastings, join them, and say how many members came again."""
    if not paths:
        raise UsageError(
            "no tasting", where="years", expected="tasting files, or results as JSON",
            remedy="name them, or make the society's key with --begin",
        )  # fmt: skip
    if json_to is not None:
        check_outputs(source=paths[0], json_to=str(json_to), csv_to=None, report=None, paper="a4")
    key = secret.read_society(society)
    years = in_order(_year(path, key, seed) for path in paths)
    for line in _account(years):
        typer.echo(line)
    if json_to is not None:
        write_years(json_to, years)
        typer.echo(f"The record over years: {json_to}")


def _year(path: Path, key: bytes, seed: int) -> Year:
    if path.suffix.lower() == '.json':
        result = read_result(path)
        name = _by_key(key)
        title = result.get('title') if isinstance(result, Mapping) else None
        return year_of(result, str(title or path.stem), '', name, str(path))
    tasting = load_tasting(path)
    with open_record(tasting) as record:
        state = replay(record.records())
    with Console(stderr=True).status(f"Weighing {tasting.title}"):
        found = _weighed(tasting, state, seed)
    members = members_met(tasting, state, key)
    return year_of(plain(document(found)), tasting.key, day_of(tasting), members.get, str(path))


def _by_key(key: bytes) -> Callable[[str], str | None]:
    return lambda taster: secret.pseudonym(key, taster)


def _weighed(tasting: Tasting, state: State, seed: int) -> Findings:
    marks = marks_of_state(tasting, state)
    return whole_result(
        marks.frame,
        marks.marks[:1],
        marks.model(seed),
        marks.about(tasting),
        depth=Depth(order=False, bottles=False, aroma=False),
    )


def _account(years: Years) -> list[str]:
    lines = []
    for year in years.tastings:
        when = f"{year.date}  " if year.date else ""
        lines.append(
            f"{when}{spoken(year.title)}: {counted(len(year.members), 'member', 'members')}"
        )
    met: dict[str, int] = {}
    for year in years.tastings:
        for member in year.members:
            met[member] = met.get(member, 0) + 1
    again = sum(count > 1 for count in met.values())
    lines.append(
        f"{counted(len(met), 'member', 'members')} in all, {again:,} of them more than once."
    )
    along = goes_along(years)
    if along is not None:
        found, pairs = along
        shows = "goes with" if found.low > 0.0 else "does not show in"
        lines.append(
            f"How low somebody marks at one tasting {shows} the next: correlation "
            f"{number(found.value, 2)} ({number(found.low, 2)} to {number(found.high, 2)}) over "
            f"{pairs:,} pairs."
        )
    return lines


def _members_said(count: int) -> str:
    return counted(count, 'member', 'members')


def own_past(
    years: Path | None, society: Path | None, tasting: Tasting | None
) -> tuple[Path, Path] | None:
    """Where the record over years and the society's key are: options first, then the file.

    Raises:
        UsageError: one without the other.
    """
    if tasting is not None:
        years, society = years or tasting.years, society or tasting.society
    if years is None and society is None:
        return None
    if years is None or society is None:
        missing = '--years' if years is None else '--society'
        raise UsageError(
            f"no {missing}", where=missing, expected="--years and --society together",
            remedy="halfpoint years … --society FILE --json YEARS.json makes the record over years",
        )  # fmt: skip
    return years, society
