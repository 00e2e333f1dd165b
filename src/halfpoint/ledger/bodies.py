"""What a record says as plain data, as it lies on the disk, and back again."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import Any, get_args

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.model import HeldPage, Look, PourReading
from halfpoint.ledger.records import KINDS, Content, Sent, Target, WrongReading
from halfpoint.sheet.entry import Entry

Within = Entry | Sent | Target | HeldPage | PourReading | Look | Rectangle | WrongReading


def as_body(content: Content | Within) -> dict[str, Any]:
    """The content as plain data, ready for JSON; what says no more than its default is left out."""
    return {
        name: value if value.__class__ in _AS_IT_IS else _plain(value)
        for name, default in _FIELDS[type(content).__name__]
        if (value := getattr(content, name)) != default
    }


_AS_IT_IS = frozenset({str, int, float, bool, dict, type(None)})


def _plain(value: Any) -> Any:
    if isinstance(value, Within):
        return as_body(value)
    return [_plain(each) for each in value] if isinstance(value, tuple) else value


def from_body(kind: str, body: dict[str, Any]) -> Content:
    """The content that `as_body` turned into `body`.

    Raises:
        KeyError: `kind` is not known.
        TypeError, ValueError: `body` lacks a field, or has something else in it.
    """
    told = {name: _RESTORE[name](value) for name, value in body.items() if name in _RESTORE}
    if kind in {'entry', 'correction'}:
        told['entry'] = entry_from(body['entry'])
    return KINDS[kind](**{**body, **told})


def entry_from(body: dict[str, Any]) -> Entry:
    """The entry that `as_body` wrote down."""
    for name in ('terms', 'faults', 'families', 'own_words'):
        if name in body:
            body[name] = tuple(body[name])
    return Entry(**body)


def _look_from(body: dict[str, Any]) -> Look:
    told = {**body, 'area': Rectangle(**body['area']), 'choices': tuple(body.get('choices', ()))}
    return Look(**told)


def _pour_from(body: dict[str, Any]) -> PourReading:
    for name in ('terms', 'families', 'faults'):
        if name in body:
            body[name] = tuple(body[name])
    if 'looks' in body:
        body['looks'] = tuple(map(_look_from, body['looks']))
    return PourReading(**body)


def _held_from(value: Any) -> Any:
    if isinstance(value, dict):
        return HeldPage(**value)
    return tuple(value) if isinstance(value, list) else value


_RESTORE: Mapping[str, Callable[[Any], Any]] = {
    'held': _held_from,
    'target': lambda value: Target(**value),
    'sent': lambda value: Sent(**value),
    'pages': tuple,
    'wrong': lambda value: tuple(WrongReading(**each) for each in value),
    'pours': lambda value: tuple(map(_pour_from, value)),
    'looks': lambda value: tuple(map(_look_from, value)),
}
# The name and default of every field of every class; a field without default equals no value.
_FIELDS = {
    made_of.__name__: tuple(
        (each.name, {} if each.default_factory is dict else each.default)
        for each in fields(made_of)
    )
    for made_of in (*KINDS.values(), *get_args(Within))
}
