"""Writes the reference pages that come from the code: commands, exit codes, the JSON.

Run by `make docs`; `tests/house/test_docs.py` fails when a page is stale.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import typer
from typer.cli import get_docs_for_click

from halfpoint import errors
from halfpoint.cli.main import app
from halfpoint.errors import HalfpointError
from halfpoint.publish.export import plan_page, schema_page
from halfpoint.publish.export.power import power_page
from halfpoint.publish.export.readings import readings_page
from halfpoint.publish.export.sheet_layout import layout_page

PAGES = Path(__file__).parents[1] / 'docs/reference'
WIDTH = 100

MADE = '<!-- Made by tools/reference.py: change the code, then run `make docs`. -->\n\n'


def commands_page() -> str:
    """Every command with its arguments and options, as `--help` gives them."""
    command = typer.main.get_group(app)
    context = typer.Context(command, info_name='halfpoint', terminal_width=WIDTH)
    body = get_docs_for_click(obj=command, ctx=context, name='halfpoint', title="Commands")
    for name, one in command.commands.items():
        shortened, whole = one.get_short_help_str(), (one.help or '').split('\n\n')[0]
        line = f'* `{name}`: '
        body = body.replace(f'{line}{shortened}\n', f'{line}{" ".join(whole.split())}\n', 1)
    return MADE + body.rstrip() + '\n'


def refusals(root: type[HalfpointError] = HalfpointError) -> Iterator[type[HalfpointError]]:
    """`root` and every class of refusal below it, by exit code."""
    below = (refusal for child in root.__subclasses__() for refusal in refusals(child))
    yield from sorted({root, *below}, key=lambda refusal: refusal.exit_code)


def _first_line(refusal: type[HalfpointError]) -> str:
    return (refusal.__doc__ or '').strip().splitlines()[0]


def exit_codes_page() -> str:
    """Every refusal with its exit code, as a table."""
    rows = [
        f'| {refusal.exit_code} | `{refusal.__name__}` | {_first_line(refusal)} |'
        for refusal in refusals()
        if refusal.__module__ == errors.__name__
    ]
    head = [
        "# Exit codes",
        "",
        "Every refusal of `halfpoint` ends with one of these codes, and they stay the same.",
        "The message says what was found, where, what was expected and what to do.",
        "A command that did its work ends with 0.",
        "",
        "| code | name | when |",
        "|---|---|---|",
    ]
    return MADE + '\n'.join([*head, *rows]) + '\n'


def pages() -> dict[Path, str]:
    """Where each page that comes from the code goes, and what it says."""
    return {
        PAGES / 'commands.md': commands_page(),
        PAGES / 'exit-codes.md': exit_codes_page(),
        PAGES / 'plan-json.md': plan_page(),
        PAGES / 'power-json.md': power_page(),
        PAGES / 'read-json.md': readings_page(),
        PAGES / 'results-json.md': schema_page(),
        PAGES / 'sheet-layout.md': layout_page(),
    }


def main() -> None:
    """Write the pages."""
    for path, text in pages().items():
        path.write_text(text, encoding='utf-8')
        print(f"wrote docs/reference/{path.name}")


if __name__ == '__main__':
    main()
