"""`halfpoint practice`: mark at home, beside what a past panel found, or with own bottles."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def command(
    practice: Annotated[
        Path | None,
        typer.Argument(metavar="PRACTICE", help="The learner's own practice file."),
    ] = None,
    result: Annotated[
        Path | None,
        typer.Option(
            "--from",
            metavar="RESULT.json",
            help="Begin: compare with this past result of `results --json`, or a practice set.",
        ),
    ] = None,
    make_set: Annotated[
        Path | None,
        typer.Option(
            "--set",
            metavar="FILE.json",
            help="With --from: write a practice set for learners, for the app and for --from.",
        ),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            "--only", metavar="WINE", help="With --set: just this wine; may be given again."
        ),
    ] = None,
    own: Annotated[
        bool, typer.Option("--own", help="Begin: own bottles, without anything to compare with.")
    ] = False,
    taster: Annotated[
        str | None,
        typer.Option(
            "--taster", metavar="KEY", help="With --from: start from this taster's record there."
        ),
    ] = None,
    years: Annotated[
        Path | None,
        typer.Option(
            "--years",
            metavar="YEARS.json",
            help="With --from and --taster, a pseudonym: start from that record over years.",
        ),
    ] = None,
    sheet: Annotated[
        str | None,
        typer.Option("--sheet", metavar="NAME|FILE", help="Begin on this sheet; else 20 points."),
    ] = None,
    wine: Annotated[
        str | None,
        typer.Option("--wine", metavar="NAME", help="Mark this wine; with --drill, the two wines."),
    ] = None,
    marks: Annotated[
        str | None,
        typer.Option(
            "--marks",
            metavar="MARKS",
            help='Its marks in the order of the sheet, as in "3 4½ 4 2 1½".',
        ),
    ] = None,
    table: Annotated[
        Path | None,
        typer.Option(
            "--table",
            metavar="MARKS.csv",
            help="Mark every wine of a table: columns wine, the sheet's lines, maybe session.",
        ),
    ] = None,
    terms: Annotated[
        str, typer.Option("--terms", metavar="WORDS", help="Aroma terms found, as in lemon,hay.")
    ] = "",
    faults: Annotated[str, typer.Option("--faults", metavar="WORDS", help="Faults found.")] = "",
    finish: Annotated[
        float | None, typer.Option("--finish", metavar="SECONDS", help="How long it lasted.")
    ] = None,
    remark: Annotated[
        str, typer.Option("--remark", metavar="TEXT", help="What else to keep.")
    ] = "",
    session: Annotated[
        str | None,
        typer.Option(
            "--session",
            metavar="NAME",
            help="Which session, else the date of today; without --wine: show that session.",
        ),
    ] = None,
    correct: Annotated[
        bool,
        typer.Option(
            "--correct", help="These marks stand for the last ones of this wine and session."
        ),
    ] = False,
    later: Annotated[
        bool,
        typer.Option(
            "--later", help="Keep the marks without showing the panel's, for wines to come again."
        ),
    ] = False,
    another: Annotated[
        bool,
        typer.Option(
            "--another", help="A wine that is not of the past tasting, whatever its name."
        ),
    ] = False,
    fresh: Annotated[
        bool,
        typer.Option("--fresh", help="Judge each session without what was found before it."),
    ] = False,
    json_to: Annotated[
        str | None,
        typer.Option("--json", metavar="FILE|-", help="Write the progress as JSON instead."),
    ] = None,
    drill: Annotated[
        str | None,
        typer.Option("--drill", metavar="triangle|duo-trio", help="Can two wines be told apart?"),
    ] = None,
    rounds: Annotated[int, typer.Option("--rounds", metavar="N", help="Rounds of the drill.")] = 6,
    right: Annotated[
        int | None,
        typer.Option("--right", metavar="K", help="Rounds of the drill that were right."),
    ] = None,
    into: Annotated[
        Path | None,
        typer.Option(
            "--into", metavar="DIR", help="Write the drill as two pages: who pours, who tastes."
        ),
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option("--seed", min=0, help="Seed of what a drill draws; else by chance."),
    ] = None,
) -> None:
    """Practise marking: feedback after each wine, progress, what to practise next, drills."""
    from halfpoint.cli import _practice as does
    from halfpoint.cli._practice_begin import OwnRecord, begin_practice
    from halfpoint.cli._practice_begin import make_set as write_practice_set
    from halfpoint.cli._practice_table import mark_table

    if drill is not None:
        does.run_drill(does.ToDrill(practice, drill, rounds, right, into, seed, session, wine))
    elif make_set is not None or only:
        write_practice_set(result, make_set, sheet, tuple(only or ()), practice)
    elif result is not None or own or years is not None:
        begin_practice(does.needed(practice), result, OwnRecord(taster, years), sheet, own=own)
    elif table is not None:
        mark_table(does.needed(practice), table, session, another=another, earlier=not fresh)
    elif wine is not None or marks is not None:
        words = does.Words(terms, faults, finish, remark)
        marking = does.Marking(wine, marks, words, session, correct, another, later)
        does.mark_wine(does.needed(practice), marking, earlier=not fresh)
    elif session is not None:
        does.show_session(does.needed(practice), session)
    else:
        does.show_progress(does.needed(practice), earlier=not fresh, json_to=json_to)
