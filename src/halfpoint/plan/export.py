"""The plan as plain data: for the record, for `plan.json`, and back again without loss."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from halfpoint.errors import InputError
from halfpoint.plan.model import Plan


def plan_data(plan: Plan) -> dict[str, Any]:
    """The plan as dicts, lists, text and numbers, fields in the order of `Plan`."""
    data: dict[str, Any] = _adapter().dump_python(plan, mode='json')
    return data


def plan_json(plan: Plan) -> str:
    """The plan as a JSON document (RFC 8259), a pour a line."""
    return _text(plan_data(plan), '') + '\n'


def plan_from_data(data: Mapping[str, Any]) -> Plan:
    """The plan that `plan_data` gave.

    Raises:
        InputError: it is not a plan.
    """
    try:
        return _adapter().validate_python(data)
    except ValidationError as error:
        raise _not_a_plan(error) from error


def plan_from_json(text: str | bytes) -> Plan:
    """The plan that `plan_json` wrote.

    Raises:
        InputError: it is not a plan.
    """
    try:
        return _adapter().validate_json(text)
    except ValidationError as error:
        raise _not_a_plan(error) from error


def same_plan(one: Plan, other: Plan) -> bool:
    """Whether two plans pour the same: all alike but the seed and what is said beside it."""
    names = (each.name for each in fields(Plan) if each.name not in _BESIDE)
    return all(getattr(one, name) == getattr(other, name) for name in names)


_BESIDE = frozenset({'seed', 'losses', 'notes'})


@cache
def _adapter() -> TypeAdapter[Plan]:
    return TypeAdapter(Plan)


def _text(value: Any, indent: str) -> str:
    """JSON that opens only what holds more than plain values, so that a line is a thing."""
    inner = f'{indent}  '
    if isinstance(value, dict) and any(isinstance(each, dict | list) for each in value.values()):
        parts = [f'{inner}{_line(key)}: {_text(each, inner)}' for key, each in value.items()]
        return '{\n' + ',\n'.join(parts) + f'\n{indent}}}'
    if isinstance(value, list) and value and not isinstance(value[0], int):
        lines = ',\n'.join(f'{inner}{_line(each)}' for each in value)
        return f'[\n{lines}\n{indent}]'
    return _line(value)


def _line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _not_a_plan(error: ValidationError) -> InputError:
    first = error.errors(include_url=False)[0]
    return InputError(
        f"{first['msg'].lower()} at {'.'.join(map(str, first['loc'])) or 'the beginning'}",
        where="the plan",
        expected="a plan as halfpoint plan writes it",
        remedy="plan again",
    )
