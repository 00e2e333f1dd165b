"""`halfpoint letters`: a page to each taster who agreed, to hosts, and to makers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from halfpoint.cli._record import TastingFile, counted, new_console

if TYPE_CHECKING:
    from halfpoint.teach.letters.write import Kind, Written

TO = ('tasters', 'hosts', 'makers')
SHOWN = 6


def command(
    tasting_file: TastingFile,
    into: Annotated[
        Path, typer.Option(metavar="DIR", help="Folder for the letters; made when it is not there.")
    ],
    to: Annotated[
        list[str] | None,
        typer.Option(
            metavar="tasters|hosts|makers",
            help="To whom; may be given again. Without it, to tasters and hosts.",
        ),
    ] = None,
    paper: Annotated[str, typer.Option(metavar="a4|letter", help="Paper to print on.")] = "a4",
    least: Annotated[
        int,
        typer.Option(min=2, metavar="N", help="Say nothing of wines and rooms with fewer marks."),
    ] = 5,
    fonts: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="A folder of fonts, for names in other scripts."),
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="Seed of the drawn figures.")] = 20,
) -> None:
    """Write a letter to each taster who agreed to it and to each host, after the reveal."""
    from halfpoint.cli._letters import composed
    from halfpoint.cli._paper_size import paper_size
    from halfpoint.cli._progress import counting_bar
    from halfpoint.teach.letters.write import write_letters

    size, kinds = paper_size(paper), _kinds(to or ())
    console = new_console()
    tasting, letters, unwritten = composed(tasting_file, kinds, least=least, seed=seed)
    with counting_bar("Writing letters") as progress:
        written = write_letters(
            letters, tasting, into, unwritten=unwritten, paper=size, fonts=fonts, progress=progress
        )
    for line in _account(written, into):
        console.print(line)


def _kinds(said: tuple[str, ...] | list[str]) -> tuple[Kind, ...]:
    from halfpoint.errors import UsageError
    from halfpoint.sheet.words import did_you_mean
    from halfpoint.teach.letters.write import KINDS

    known = dict(zip(TO, KINDS, strict=True))
    named = [name.strip().lower() for each in said for name in each.split(',')]
    for name in named:
        if name not in known:
            raise UsageError(
                f"'{name}'", where='--to', expected=f"{', '.join(TO)}{did_you_mean(name, TO)}"
            )
    return tuple(known[name] for name in dict.fromkeys(named or TO[:2]))


def _account(written: Written, into: Path) -> list[str]:
    from halfpoint.teach.letters.write import LIST

    some = [
        counted(written.kinds[kind], f'letter to a {kind}', f'letters to {kind}s')
        for kind in written.kinds
        if written.kinds[kind]
    ]
    lines = [f"{', '.join(some) or 'No letters'} in {into}; {LIST} says whom each is for."]
    without = written.unwritten
    reasons = (
        (without.without_consent, 'taster has', 'tasters have', "not agreed"),
        (without.without_marks, 'taster has', 'tasters have', "no marks in the record"),
        (without.wines_with_few_marks, 'wine has', 'wines have', "too few marks"),
    )
    lines += [
        f"No letter, because {counted(count, one, many)} {why}."
        for count, one, many, why in reasons
        if count
    ]
    if written.old:
        lines.append("From an earlier run and not renewed; take away what is out of date:")
        lines += [f"  {path.relative_to(into)}" for path in written.old[:SHOWN]]
        if len(written.old) > SHOWN:
            lines.append(f"  and {len(written.old) - SHOWN:,} more")
    return lines
