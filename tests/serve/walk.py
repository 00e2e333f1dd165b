"""Every route of the server, with something plausible to ask of each.

The routes are those of the OpenAPI document, so that a new one is walked without being named here.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from tests.serve.conftest import DEVICE

from halfpoint.publish.handouts.kinds import SITE_KINDS
from halfpoint.serve.app import create_app
from halfpoint.serve.settings import Settings

METHODS = ('get', 'put', 'post', 'delete', 'patch')
PLACEHOLDER = Settings(tasting=Path('tasting.toml'))
# What a name in an address may stand for, when its type does not say.
PLAUSIBLE: dict[str, list[Any]] = {
    'kind': [kind.name for kind in SITE_KINDS] + ['sheets', 'score-sheets', 'shopping-list'],
    'name': ['scores', 'ranks', 'severity', 'report.pdf'],
    'site': ['mill', 'quay'],
    'key': ['ansel', 'mill-seat-2', 'vexhollow'],
    'file': ['report.pdf', 'result.json', 'csv.zip', 'entries.csv', 'record.ledger'],
}


@dataclass(frozen=True)
class Operation:
    """A method of an address, as the OpenAPI document tells of it."""

    method: str
    path: str
    told: Any
    schemas: Any

    def __str__(self) -> str:
        return f'{self.method} {self.path}'

    @property
    def streams(self) -> bool:
        """Whether its answer has no end."""
        return 'text/event-stream' in str(self.told['responses'])


def operations_of(app: FastAPI) -> list[Operation]:
    """Every operation of an app."""
    document = app.openapi()
    schemas = document['components']['schemas']
    return [
        Operation(method, path, told, schemas)
        for path, methods in document['paths'].items()
        for method, told in methods.items()
        if method in METHODS
    ]


OPERATIONS = operations_of(create_app(PLACEHOLDER))


def area_of(operation: Operation) -> str:
    """Whose place an operation is: desk, site, sheet; empty when it is everybody's."""
    for area in ('desk', 'site', 'sheet'):
        start = f'/api/{area}'
        if operation.path == start or operation.path.startswith(f'{start}/'):
            return area
    return ''


def addresses(operation: Operation) -> list[str]:
    """The address with each plausible value in it."""
    made = [operation.path]
    query = []
    for parameter in operation.told.get('parameters', []):
        values = _values(operation, parameter)
        if parameter['in'] == 'path':
            mark = '{' + parameter['name'] + '}'
            made = [address.replace(mark, str(value)) for address in made for value in values]
        elif parameter['in'] == 'query' and values[0] is not None:
            query.append(f'{parameter["name"]}={values[0]}')
    return [address + ('?' + '&'.join(query) if query else '') for address in made]


def _values(operation: Operation, parameter: Any) -> list[Any]:
    schema = _resolved(operation, parameter['schema'])
    if 'enum' in schema:
        return list(schema['enum'])
    if schema.get('type') == 'integer':
        return [1, 2]
    return PLAUSIBLE.get(parameter['name']) or [plausible(operation, schema)]


def ask(client: Any, operation: Operation, headers: dict[str, str], address: str = '') -> Any:
    """Ask one operation for something plausible."""
    content = operation.told.get('requestBody', {}).get('content', {})
    sent: dict[str, Any] = {}
    if 'multipart/form-data' in content:
        sent['files'] = [('files', ('page.png', b'no picture', 'image/png'))]
    elif content:
        schema = next(iter(content.values())).get('schema', {})
        sent['json'] = plausible(operation, schema)
    address = address or addresses(operation)[0]
    return client.request(operation.method.upper(), address, headers=headers, **sent)


def plausible(operation: Operation, schema: Any) -> Any:
    """Something that fits a schema: its examples, or what its parts amount to."""
    schema = _resolved(operation, schema)
    for given in ('const', 'default'):
        if given in schema:
            return schema[given]
    for several in ('examples', 'enum'):
        if schema.get(several):
            return schema[several][0]
    if schema.get('type') == 'object':
        parts = schema.get('properties', {})
        wanted = schema.get('required', parts)
        return {key: _part(operation, key, parts[key]) for key in wanted}
    if schema.get('type') == 'array':
        return [plausible(operation, schema.get('items', {}))]
    least = max(1, schema.get('minimum', 1))
    word = 'mill'.ljust(schema.get('minLength', 0), '-')
    simple = {'integer': least, 'number': least, 'boolean': True, 'string': word}
    return simple.get(str(schema.get('type')))


def _part(operation: Operation, key: str, schema: Any) -> Any:
    return DEVICE if key == 'device' else plausible(operation, schema)


def _resolved(operation: Operation, schema: Any) -> Any:
    while True:
        if '$ref' in schema:
            schema = operation.schemas[schema['$ref'].rpartition('/')[2]]
        elif 'anyOf' in schema:
            schema = {**schema, **schema['anyOf'][0], 'anyOf': []}
            del schema['anyOf']
        else:
            return schema
