"""Writing a tasting file: what a form says, as clean TOML (toml.io, v1.0)."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from halfpoint.sheet.toml_form import Raw
from halfpoint.tasting.load import TastingFile

ORDER = tuple(TastingFile.model_fields)
DATES = ('opens', 'closes')


def tasting_toml(form: Mapping[str, Any]) -> str:
    """The text of a tasting file that says what the form says; no comments.

    Args:
        form: tables and lists of tables, as `tomllib` reads them from a tasting file. What is
            None is left out, and so are lists of tables that are empty.
    """
    names = [*(name for name in ORDER if name in form), *(n for n in form if n not in ORDER)]
    blocks = [block for name in names for block in _blocks(name, form[name])]
    return '\n\n'.join(blocks) + '\n'


def as_form(raw: Raw) -> Raw:
    """A tasting file, as `tomllib` reads it, as plain JSON: dates become text."""
    found: Raw = json.loads(json.dumps(raw, default=str))
    return found


def from_form(form: Mapping[str, Any]) -> Raw:
    """The other way round: what should be a date, and is one in text, becomes a date."""
    event = form.get('tasting')
    if not isinstance(event, Mapping):
        return dict(form)
    return {**form, 'tasting': {key: _dated(key, value) for key, value in event.items()}}


def _dated(key: str, value: Any) -> Any:
    if key in DATES and isinstance(value, str):
        try:
            return date.fromisoformat(value)
        except ValueError:
            return value or None
    return value


def _blocks(name: str, value: Any) -> Iterable[str]:
    if isinstance(value, list | tuple) and all(isinstance(each, Mapping) for each in value):
        for each in value:
            yield from _table(f'[[{_key(name)}]]', name, each)
    elif isinstance(value, Mapping):
        if value:
            yield from _table(f'[{_key(name)}]', name, value)
    elif value is not None:
        yield f'{_key(name)} = {_value(value)}'


def _table(head: str, name: str, table: Mapping[str, Any]) -> Iterable[str]:
    said = {key: value for key, value in table.items() if value is not None}
    inner = {key: value for key, value in said.items() if isinstance(value, Mapping)}
    lines = [f'{_key(key)} = {_value(said[key])}' for key in said if key not in inner]
    yield '\n'.join([head, *lines])
    for key, value in inner.items():
        if value:
            yield from _table(f'[{_key(name)}.{_key(key)}]', f'{name}.{key}', value)


def _key(key: str) -> str:
    bare = key.replace('_', '').replace('-', '')
    return key if bare.isascii() and bare.isalnum() else _text(key)


def _value(value: Any) -> str:
    match value:
        case bool():
            return 'true' if value else 'false'
        case str():
            return _text(value)
        case date():
            return value.isoformat()
        case Mapping():
            said = (f'{_key(str(k))} = {_value(v)}' for k, v in value.items() if v is not None)
            return f'{{ {", ".join(said)} }}'
        case list() | tuple():
            return f'[{", ".join(_value(each) for each in value if each is not None)}]'
        case _:
            return repr(value)


def _text(text: str) -> str:
    # A JSON string is a TOML basic string, but for DEL, and for what is not Unicode.
    return json.dumps(text, ensure_ascii=False).replace('\x7f', '\\u007f')
