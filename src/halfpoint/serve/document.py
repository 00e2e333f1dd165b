"""The OpenAPI 3.1 document: FastAPI's, with our own way to refuse in place of its own."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from halfpoint.serve.problems import MEDIA_TYPE, Problem

_THEIRS = ('HTTPValidationError', 'ValidationError')
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
    schemas[_NAME] = Problem.model_json_schema() | {'title': _NAME}
    content = {MEDIA_TYPE: {'schema': {'$ref': f'#/components/schemas/{_NAME}'}}}
    components['responses'] = {_NAME: {'description': "Refused, in words", 'content': content}}
    for path in made['paths'].values():
        for method, operation in path.items():
            if method in _METHODS:
                answers = operation['responses']
                answers.pop('422', None)
                answers['default'] = {'$ref': f'#/components/responses/{_NAME}'}
    return made
