"""Reading a TOML file into a form, with every problem told in words and in one go."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from halfpoint.errors import FileNotReadable, InputError
from halfpoint.sheet.form import CLOCK, KEY, LANGUAGE, THREE_DIGITS
from halfpoint.sheet.words import did_you_mean

LARGEST_FILE = 20_000_000
Raw = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to mend: where in the file, what was found, what was expected."""

    where: str
    found: str
    expected: str


def read_toml(path: Path, refusal: type[InputError]) -> Raw:
    """Read a TOML file.

    Raises:
        FileNotReadable: it is missing, is a folder, or may not be read.
        InputError: of the class given, when it is not TOML; names the line.
    """
    return parse_toml(_text(path, refusal), str(path), refusal)


def _text(path: Path, refusal: type[InputError]) -> str:
    try:
        if path.is_file() and path.stat().st_size > LARGEST_FILE:
            raise refusal(
                "the file is too large",
                where=str(path),
                expected=f"at most {LARGEST_FILE // 1_000_000} MB of text",
            )
        return path.read_bytes().decode('utf-8-sig')
    except UnicodeDecodeError:
        raise refusal(
            "the file is not plain text",
            where=str(path),
            expected="a TOML file in UTF-8",
            remedy="save it again from a text editor, choosing UTF-8",
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, 'strerror', None) or str(error)
        raise FileNotReadable(
            f"could not be read ({reason})",
            where=str(path),
            expected="a TOML file",
            remedy="check the name, and that it is a file you may read",
        ) from error


def parse_toml(text: str, where: str, refusal: type[InputError]) -> Raw:
    """Parse TOML text; raises the class given, naming the line, when it is not TOML."""
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        found = "nested too deeply" if isinstance(error, RecursionError) else str(error)
        raise refusal(
            f"not valid TOML: {found}",
            where=where,
            expected='key = value lines under [table] or [[table]] headings; text in "quotes"',
            remedy="mend that line and try again",
        ) from None


def problems_of(error: ValidationError, raw: Raw, form: type[BaseModel]) -> list[Problem]:
    """Every problem pydantic found, placed in the file and put in words."""
    schema = form.model_json_schema()
    details = error.errors(include_url=False)
    return [_problem(detail, raw, schema) for detail in details if not _follows(detail)]


def refuse(problems: Sequence[Problem], file: str, refusal: type[InputError]) -> InputError:
    """The refusal that lists all problems together."""
    remedy = "mend the file and try again"
    if len(problems) == 1:
        only = problems[0]
        where = f"{file}, {only.where}" if only.where else file
        return refusal(f"found {only.found}", where=where, expected=only.expected, remedy=remedy)
    lines = [f"  {p.where}: found {p.found}; expected {p.expected}" for p in problems]
    found = '\n'.join([f"{len(problems)} things need a look", *lines])
    return refusal(found, where=file, remedy=remedy)


def _follows(detail: ErrorDetails) -> bool:
    """Whether a list counts as too short only because a part of it was refused."""
    return detail['type'] == 'too_short' and len(detail['input']) > 0


def _problem(detail: ErrorDetails, raw: Raw, schema: Raw) -> Problem:
    place = list(detail['loc'])
    context = detail.get('ctx', {})
    if detail['type'] == 'unsound':
        where = _where([*place, context['key']], raw)
        return Problem(where, context['found'], context['expected'])
    where = _where(place, raw)
    if detail['type'] == 'missing':
        return Problem(where, "nothing", _needed(str(place[-1]), _node(place, schema)))
    if detail['type'] == 'extra_forbidden':
        known = list(_node(place[:-1], schema).get('properties', {}))
        expected = f"one of {', '.join(known)}{did_you_mean(str(place[-1]), known)}"
        return Problem(where, "an unknown key", expected)
    if detail['type'] == 'tuple_type' and isinstance(detail['input'], dict):
        return Problem(where, f"[{place[-1]}]", f"[[{place[-1]}]], with double brackets")
    return Problem(where, _shown(detail['input']), _expected(detail))


def _needed(key: str, node: Raw) -> str:
    match node.get('type'):
        case 'object':
            return f"a [{key}] table"
        case 'array':
            return f"at least one [[{key}]] table"
        case _:
            return "this key, which is needed"


def _where(place: Sequence[int | str], raw: Raw) -> str:
    node: Any = raw
    parts: list[str] = []
    for step in place:
        node = _inside(node, step)
        if isinstance(step, int):
            name = node.get('key') if isinstance(node, dict) else None
            label = f" '{name}'" if isinstance(name, str) else ''
            parts[-1:] = [f"{' '.join(parts[-1:])} {step + 1}{label}"]
        elif isinstance(node, dict) or _is_tables(node):
            parts.append(step)
        else:
            parts.append(f"key {step}")
    return ', '.join(parts)


def _inside(node: Any, step: int | str) -> Any:
    if isinstance(node, dict):
        return node.get(step)
    if isinstance(node, list) and isinstance(step, int) and step < len(node):
        return node[step]
    return None


def _is_tables(node: Any) -> bool:
    return isinstance(node, list) and bool(node) and all(isinstance(part, dict) for part in node)


def _node(place: Sequence[int | str], schema: Raw) -> Raw:
    """The part of the JSON Schema that describes this place."""
    node = schema
    for step in place:
        node = node.get('items', {}) if isinstance(step, int) else node['properties'].get(step, {})
        node = _resolved(node, schema)
    return node


def _resolved(node: Raw, schema: Raw) -> Raw:
    choices = [node, *node.get('anyOf', [])]
    name = next((choice['$ref'] for choice in choices if '$ref' in choice), None)
    return node if name is None else schema['$defs'][name.rsplit('/', 1)[-1]]


def _shown(value: object) -> str:
    match value:
        case dict() | Mapping():
            return "a table"
        case list():
            return "a list"
        case bool():
            return str(value).lower()
        case str():
            return f"'{value[:60]}…'" if len(value) > 60 else f"'{value}'"
        case _:
            return _short(value)


def _short(value: object) -> str:
    try:
        text = str(value)
    except ValueError:
        return "a very large number"
    return f"{text[:40]}…" if len(text) > 40 else text


_BY_TYPE = {
    'string_type': "text in quotes",
    'float_type': "a number, without quotes",
    'finite_number': "a finite number",
    'int_type': "a whole number, without quotes",
    'bool_type': "true or false, without quotes",
    'date_type': "a date such as 2026-05-30, without quotes",
    'tuple_type': "a list",
    'model_type': "a table",
    'string_too_short': "some text",
    'string_too_long': "at most {max_length} letters",
    'too_short': "at least one",
    'greater_than': "more than {gt:g}",
    'greater_than_equal': "{ge:g} or more",
    'less_than': "less than {lt:g}",
    'less_than_equal': "{le:g} or less",
}

_BY_PATTERN = {
    KEY: "small letters, digits, - and _, beginning with a letter",
    THREE_DIGITS: "three digits in quotes, such as '483'",
    LANGUAGE: "the short name of a language, such as 'en' or 'de-AT'",
    CLOCK: "a time in quotes, such as '19:30'",
}


def _expected(detail: ErrorDetails) -> str:
    context = detail.get('ctx', {})
    if detail['type'] == 'literal_error':
        options = str(context['expected']).replace("'", '').replace(' or ', ', ').split(', ')
        given = _shown(detail['input'])
        return f"one of {', '.join(options)}{did_you_mean(given, options)}"
    if detail['type'] == 'string_pattern_mismatch':
        return _BY_PATTERN.get(context['pattern'], "one line of plain text")
    if detail['type'] in _BY_TYPE:
        return _BY_TYPE[detail['type']].format(**context)
    return detail['msg']
