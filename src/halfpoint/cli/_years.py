"""What `years` does: the society's key, tastings joined, and what others take from that."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import typer
from rich.console import Console

from halfpoint.cli._outputs import check_outputs
from halfpoint.cli._past_result import read_result
from halfpoint.cli._record import counted, open_record
from halfpoint.errors import UsageError
from halfpoint.estimate.findings import Findings
from halfpoint.ledger.replay import State, replay
from halfpoint.publish.export.document import document, plain
from halfpoint.publish.from_record import marks_of_state
from halfpoint.publish.numbers import number
from halfpoint.publish.whole_result import Depth, whole_result
from halfpoint.publish.words import spoken
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting
from halfpoint.teach import society as secret
from halfpoint.teach.own_past import with_past
from halfpoint.teach.years import Year, Years, goes_along, in_order, write_years, year_of, years_in

EXPECTED = "what `halfpoint years --json FILE` wrote"


def begin_society(path: Path, tastings: Sequence[Path]) -> None:
    """Make the society's key, and say what to do with it."""
    if tastings:
        raise UsageError("--begin beside tastings", where="years", expected="one after the other")
    secret.begin_society(path)
    typer.echo(f"Made {path}. Keep it with the tastings, and a copy elsewhere, and show it nobody:")
    typer.echo("with it, and only with it, members are known again from year to year.")


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
    members = _members(tasting, state, key)
    day = '' if tasting.opens is None else tasting.opens.isoformat()
    return year_of(plain(document(found)), tasting.key, day, members.get, str(path))


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


def _members(tasting: Tasting, state: State, key: bytes) -> dict[str, str]:
    """What a result calls a taster → pseudonym, those without a line in the file by their key."""
    names = secret.members_of(tasting, state.called)
    met = {entry.now.taster for entry in state.entries.values()} - state.called.keys()
    return {
        taster: secret.pseudonym(key, member)
        for taster, member in ({each: each for each in met} | names).items()
    }


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


def read_years(path: Path) -> Years:
    """The record over years.

    Raises:
        FileNotReadable, InputError: it cannot be read.
    """
    return years_in(read_result(path, EXPECTED), str(path))


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


def with_own_past(
    findings: Findings, where: tuple[Path, Path], tasting: Tasting | None, state: State | None
) -> Findings:
    """The findings with each known taster's own past taken into account.

    Args:
        findings: the result.
        where: the record over years, and the society's key.
        tasting: the tasting file; without it tasters of a table are members by their names there.
        state: how its record stands.

    Raises:
        FileNotReadable, InputError: one of the two cannot be read.
    """
    years, key = read_years(where[0]), secret.read_society(where[1])
    if tasting is None or state is None:
        names = {each.taster: secret.pseudonym(key, each.taster) for each in findings.by_taster}
        return with_past(findings, years, names, key=findings.title, day='')
    day = '' if tasting.opens is None else tasting.opens.isoformat()
    members = _members(tasting, state, key)
    return with_past(findings, years, members, key=tasting.key, day=day)
