"""The OpenAPI document: what it is, and that the server does as it says."""

from __future__ import annotations

import json
import re

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from jsonschema import Draft202012Validator
from requests import Request
from schemathesis.checks import load_all_checks, not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from tests.serve.conftest import OWN, serve, write_tasting
from tests.serve.walk import OPERATIONS, PLACEHOLDER, area_of

from halfpoint.serve.app import create_app
from halfpoint.serve.settings import Limits, Rate, Settings
from openapi import write_document

DOCUMENT = create_app(PLACEHOLDER).openapi()
CHECKS = [
    not_a_server_error, status_code_conformance, content_type_conformance,
    response_headers_conformance, response_schema_conformance,
]  # fmt: skip
# Enough for every way in; making a paper or a result takes longer than an answer.
EXAMPLES = 12
SLOW = re.compile(r'\.pdf|\.svg|\.png|/results|/plan$|preview|files|photos|set-aside')
load_all_checks()
SCHEMA = schemathesis.openapi.from_dict(DOCUMENT)
names = str


def test_it_is_openapi_3_1(served) -> None:
    """The server hands out an OpenAPI 3.1 document, and the tool writes the same."""
    told = served.client.get('/api/openapi.json').json()
    assert told['openapi'].startswith('3.1.')
    assert told == json.loads(json.dumps(DOCUMENT))


def test_its_schemas_are_json_schemas() -> None:
    """Every schema in it is one by JSON Schema draft 2020-12, as OpenAPI 3.1 has it."""
    # Checked by the jsonschema library.
    for schema in DOCUMENT['components']['schemas'].values():
        Draft202012Validator.check_schema(schema)


def test_every_reference_leads_somewhere() -> None:
    """Nothing in it points at what is not there."""
    text = json.dumps(DOCUMENT)
    wanted = set(re.findall(r'"#/components/(\w+)/([^"]+)"', text))
    there = {(kind, name) for kind, parts in DOCUMENT['components'].items() for name in parts}
    assert set() == wanted - there


@pytest.mark.parametrize('operation', OPERATIONS, ids=names)
def test_every_operation_is_told_of(operation) -> None:
    """Every operation says what it is for, what it answers, how it refuses, and for whom it is."""
    told = operation.told
    assert told['description']
    assert told['responses']['default']['$ref'].endswith('/Refusal')
    assert 'HTTPValidationError' not in str(told)
    schemes = {'desk': 'organiser', 'site': 'host', 'sheet': 'taster', '': None}
    wanted = schemes[area_of(operation)]
    assert ([{wanted: []}] if wanted else None) == told.get('security')


def test_the_tool_writes_it(tmp_path) -> None:
    """`tools/openapi.py` writes the document for the app, the same each time."""
    write_document(tmp_path / 'openapi.json')
    assert DOCUMENT == json.loads((tmp_path / 'openapi.json').read_text())


# --- what the server does with what fits the document, and with what does not -----------


@pytest.fixture(scope='module')
def patient(tmp_path_factory, _password):
    """A server that lets itself be asked a great deal."""
    often = Rate(10**6, 1)
    limits = Limits(
        wrong_passwords=often, wrong_codes=often, joins_by_address=often, joins_by_code=often
    )
    file = write_tasting(tmp_path_factory.mktemp('patient'))
    yield from serve(Settings(tasting=file, limits=limits), _password)


def _person(evening, operation) -> dict[str, str]:
    area = area_of(operation)
    if area == 'site':
        return evening.host()
    return evening.taster() if area == 'sheet' else evening.log_in()


def _may_not_fit(operation) -> bool:
    return bool(operation.told.get('parameters') or operation.told.get('requestBody'))


ASKED = [
    (operation, mode)
    for operation in OPERATIONS
    for mode in GenerationMode
    if not operation.streams and (mode is GenerationMode.POSITIVE or _may_not_fit(operation))
]


@pytest.mark.parametrize(('operation', 'mode'), ASKED, ids=names)
def test_the_server_does_as_the_document_says(patient, operation, mode) -> None:
    """Whatever is asked, fitting or not, is answered as the document says, and never by a 5xx."""
    # Asked for by Schemathesis, which knows nothing of the server but the document.
    headers = {**OWN, **_person(patient, operation)}
    strategy = SCHEMA[operation.path][operation.method.upper()].as_strategy(generation_mode=mode)
    most = 3 if SLOW.search(operation.path) else EXAMPLES

    @settings(
        max_examples=most, derandomize=True, deadline=None, database=None,
        phases=[Phase.generate], suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(case=strategy)
    def ask(case) -> None:
        sent = case.as_transport_kwargs(base_url='http://halfpoint.test')
        sent = {key: sent.get(key) for key in ('method', 'url', 'params', 'json', 'data', 'files')}
        made = Request(**sent).prepare()
        kind = {k: v for k, v in made.headers.items() if k == 'Content-Type'}
        answer = patient.client.request(
            made.method, made.url, content=made.body, headers={**kind, **headers}
        )
        case.validate_response(answer, checks=CHECKS)

    ask()
