"""Writes the tables of keys into the pages about the score sheet and the tasting file.

A table stands between `<!-- keys: NAME -->` and `<!-- end of keys -->`, where NAME is a
table of the JSON Schema. `tests/sheet/test_pages.py` fails when one is stale.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from halfpoint.sheet.schema import sheet_schema
from halfpoint.tasting.load import tasting_schema

REFERENCE = Path(__file__).parents[1] / 'docs/reference'
PAGES = (REFERENCE / 'score-sheet.md', REFERENCE / 'tasting-file.md')
KEYS = re.compile(r'<!-- keys: (\w+) -->\n.*?<!-- end of keys -->', re.DOTALL)
KINDS = {
    'string': "text",
    'number': "number",
    'integer': "whole number",
    'boolean': "`true` or `false`",
    'array': "list",
    'date': "date",
}
Table = dict[str, Any]


def with_keys(page: str) -> str:
    """The page with every table of keys as the code has it now."""
    sheet, tasting = sheet_schema(), tasting_schema()
    tables = {'Sheet': sheet} | sheet['$defs'] | tasting['$defs']
    return KEYS.sub(lambda found: _section(found[1], tables[found[1]]), page)


def _section(name: str, table: Table) -> str:
    head = "| key | takes | default | meaning |\n|---|---|---|---|"
    rows = [_row(key, table) for key in table['properties']]
    return '\n'.join([f'<!-- keys: {name} -->', head, *rows, '<!-- end of keys -->'])


def _row(key: str, table: Table) -> str:
    form = table['properties'][key]
    return f'| `{key}` | {_takes(form)} | {_default(key, table)} | {form["description"]} |'


def _takes(form: Table) -> str:
    choices = [form, *form.get('anyOf', [])]
    words = next((choice['enum'] for choice in choices if 'enum' in choice), None)
    if words is not None:
        return ', '.join(f'`{word}`' for word in words)
    if '$ref' in form:
        return "a table"
    kinds = [choice.get('format', choice.get('type')) for choice in choices]
    taken = ' or '.join(KINDS[kind] for kind in kinds if kind in KINDS)
    return taken + next((_limits(choice) for choice in choices if 'maximum' in choice), '')


def _limits(choice: Table) -> str:
    if 'minimum' in choice:
        return f", {choice['minimum']:g} to {choice['maximum']:g}"
    return f", up to {choice['maximum']:g}"


def _default(key: str, table: Table) -> str:
    if key in table.get('required', []):
        return "needed"
    match table['properties'][key].get('default'):
        case None | '' | []:
            return "none"
        case dict():
            return "see there"
        case list(value) | bool(value):
            return f'`{json.dumps(value)}`'
        case float(value):
            return f'`{value:g}`'
        case value:
            return f'`{value}`'


def main() -> None:
    """Write the tables."""
    for path in PAGES:
        path.write_text(with_keys(path.read_text(encoding='utf-8')), encoding='utf-8')
        print(f"wrote the tables of keys in docs/reference/{path.name}")


if __name__ == '__main__':
    main()
