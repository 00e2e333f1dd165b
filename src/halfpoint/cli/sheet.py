"""`halfpoint sheet`: a score sheet in words, as TOML to start from, or its JSON Schema."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from halfpoint.sheet.form import Category, Fault, FinishBand, Sheet


def command(
    sheet: str = typer.Argument(
        "twenty-point", metavar="NAME|FILE", help="A built-in sheet, or a TOML file."
    ),
    listing: bool = typer.Option(False, "--list", help="Name the built-in sheets."),
    toml: bool = typer.Option(False, "--toml", help="Print a built-in sheet as a TOML file."),
    schema: bool = typer.Option(False, "--schema", help="Print the JSON Schema of sheet files."),
) -> None:
    """Show a score sheet: categories, marks, what they mean, terms, faults and finish."""
    if schema:
        _print_schema()
    elif listing:
        _list()
    elif toml:
        _print_toml(sheet)
    else:
        _show(sheet)


def _print_schema() -> None:
    import json

    from halfpoint.sheet.schema import sheet_schema

    typer.echo(json.dumps(sheet_schema(), indent=2, ensure_ascii=False))


def _list() -> None:
    from halfpoint.sheet.load import builtin_sheets, load_sheet

    for name in builtin_sheets():
        typer.echo(f"{name:15} {load_sheet(name).about}")


def _print_toml(name: str) -> None:
    from halfpoint.sheet.load import builtin_text

    typer.echo(builtin_text(name), nl=False)


def _show(name: str) -> None:
    from rich.console import Console

    from halfpoint.sheet.load import load_sheet
    from halfpoint.sheet.words import say_number

    sheet = load_sheet(name)
    console = Console(markup=False, highlight=False, emoji=False)
    console.print(f"{sheet.label}, {say_number(sheet.lowest)} to {say_number(sheet.top)} in all")
    if sheet.about:
        console.print(sheet.about)
    for category in sheet.categories:
        _show_category(console, category)
    _show_words(console, sheet)


def _show_category(console: Console, category: Category) -> None:
    from halfpoint.sheet.validity import expected_mark
    from halfpoint.sheet.words import say_number

    weight = f", counted {say_number(category.weight)} times" if category.weight != 1 else ""
    console.print(f"\n{category.label}: {expected_mark(category)}{weight}", style='bold')
    if category.question:
        console.print(category.question)
    rows = [(_span(part.low, part.high), part.text) for part in category.guidance]
    console.print(_columns(rows))


def _show_words(console: Console, sheet: Sheet) -> None:
    sections = {
        "Aroma terms": [
            (family.label, ", ".join(term.label for term in family.terms))
            for family in sheet.families
        ],
        "Faults": [(fault.label, _fault(sheet, fault)) for fault in sheet.faults],
        "Finish": [(band.label, _band(sheet, band)) for band in sheet.finish],
    }
    for title, rows in sections.items():
        if rows:
            console.print(f"\n{title}", style='bold')
            console.print(_columns(rows))


def _columns(rows: list[tuple[str, str]]) -> Table:
    from rich.table import Table

    table = Table.grid(padding=(0, 2))
    table.add_column(min_width=8)
    table.add_column()
    for row in rows:
        table.add_row(*row)
    return table


def _fault(sheet: Sheet, fault: Fault) -> str:
    from halfpoint.sheet.words import say_number

    if fault.ceiling is None:
        return fault.sign
    what = sheet.category(fault.category).label.lower() if fault.category else "the total"
    return f"{fault.sign} Usually {say_number(fault.ceiling)} or less for {what}.".strip()


def _band(sheet: Sheet, band: FinishBand) -> str:
    from halfpoint.sheet.words import say_number

    start = say_number(band.from_seconds)
    seconds = f"{start} s and more"
    if band.to_seconds is not None:
        seconds = f"{start} to {say_number(band.to_seconds)} s"
    if band.category is None or band.usual_low is None or band.usual_high is None:
        return seconds
    label = sheet.category(band.category).label.lower()
    return f"{seconds}; usually {_span(band.usual_low, band.usual_high)} for {label}"


def _span(low: float, high: float) -> str:
    from halfpoint.sheet.words import say_number

    return say_number(low) if low == high else f"{say_number(low)} to {say_number(high)}"
