"""The OpenAPI 3.1 document: FastAPI's, with our own way to refuse in place of its own."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import BaseModel

from halfpoint.serve.problems import MEDIA_TYPE, Refusal
from halfpoint.serve.wire.marks import SentEntries

_THEIRS = ('HTTPValidationError', 'ValidationError')
# Bodies that a route reads by itself, and names in its own `openapi_extra`.
READ_BY_HAND: tuple[type[BaseModel], ...] = (SentEntries,)
_METHODS = frozenset({'get', 'put', 'post', 'delete', 'patch'})
_NAME = 'Refusal'
_ABOUT = """\
What the pages of halfpoint ask of its server.
Hosts and tasters show a bearer's token; the organiser a cookie, and with anything but GET the
header `X-Halfpoint: 1`.
"""


def openapi_of(app: FastAPI) -> dict[str, Any]:
    """The document of an app; the same until its routes change."""
    made = get_openapi(title=app.title, version=app.version, routes=app.routes, description=_ABOUT)
    components = made.setdefault('components', {})
    schemas = components.setdefault('schemas', {})
    for name in _THEIRS:
        schemas.pop(name, None)
    for model in READ_BY_HAND:
        told = model.model_json_schema(ref_template='#/components/schemas/{model}')
        schemas.update(told.pop('$defs', {}))
        schemas[model.__name__] = told
    schemas[_NAME] = Refusal.model_json_schema()
    content = {MEDIA_TYPE: {'schema': {'$ref': f'#/components/schemas/{_NAME}'}}}
    components['responses'] = {_NAME: {'description': "Refused, in words", 'content': content}}
    for path in made['paths'].values():
        for method, operation in path.items():
            if method in _METHODS:
                _refuse_our_way(operation['responses'], content)
    return made


def _refuse_our_way(answers: dict[str, Any], content: dict[str, Any]) -> None:
    """Every refusal is one of ours; those that a route tells of keep their description."""
    theirs = answers.get('422', {}).get('description') == 'Validation Error'
    if theirs:
        del answers['422']
    for status, answer in answers.items():
        if status.startswith(('4', '5')):
            answers[status] = {'description': answer['description'], 'content': content}
    answers['default'] = {'$ref': f'#/components/responses/{_NAME}'}
