"""The result as open data."""

from __future__ import annotations

import csv
import dataclasses
import json
import math
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from tests.publish.sample import NAMES, disconnected, renamed, sample

from halfpoint.errors import OutputError
from halfpoint.estimate.findings import Findings
from halfpoint.publish.export import findings_schema, schema_page, to_json, write_csv
from halfpoint.publish.export.document import Document, document
from halfpoint.publish.export.schema import MEANINGS

PAGE = Path(__file__).parents[2] / 'docs' / 'reference' / 'results-json.md'


def checked(findings: Findings) -> Any:
    """The document read back, held against its schema."""
    read = json.loads(to_json(findings), parse_constant=pytest.fail)
    jsonschema.Draft202012Validator(findings_schema()).validate(read)
    return read


@pytest.mark.parametrize(
    'findings', [sample(), disconnected(), sample(2), sample(20, with_pairs=False, sites=())]
)
def test_the_document_is_as_the_schema_says(findings: Findings) -> None:
    """Every kind of result is valid JSON of the documented shape."""
    checked(findings)


def test_the_schema_is_a_valid_schema_that_allows_nothing_else() -> None:
    """The schema follows the 2020-12 dialect and refuses an unknown or missing field."""
    schema = findings_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    read = checked(sample())
    for wrong in ({**read, 'extra': 1}, {k: v for k, v in read.items() if k != 'wines'}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.Draft202012Validator(schema).validate(wrong)


def test_the_total_stands_at_the_top_level() -> None:
    """Wines, pairs and components of the total are not nested."""
    read = checked(sample())
    assert [wine.wine for wine in sample().total.wines] == [w['wine'] for w in read['wines']]
    assert 28 == len(read['pairs'])
    assert {'variance': 2.25, 'low': 1.8, 'high': 2.9} == read['components']['taster']
    assert ['appearance', 'aroma', 'taste', 'aftertaste', 'overall'] == list(read['categories'])


def test_fields_come_in_a_fixed_order() -> None:
    """The order is that of the document's definition."""
    read = checked(sample())
    assert [field.name for field in dataclasses.fields(Document)] == list(read)


def test_numbers_come_back_to_the_last_digit() -> None:
    """A score read back from JSON is the same number."""
    read = checked(sample())
    assert sample().total.wines[1].low == read['wines'][1]['low']


def test_what_is_not_finite_is_null() -> None:
    """NaN and infinity are written as null, and the schema allows it."""
    total = sample().total
    wines = (dataclasses.replace(total.wines[0], raw_mean=math.nan, df=math.inf), *total.wines[1:])
    read = checked(dataclasses.replace(sample(), total=dataclasses.replace(total, wines=wines)))
    assert read['wines'][0]['raw_mean'] is None
    assert read['wines'][0]['df'] is None


def test_any_name_can_be_written() -> None:
    """Quotes, line breaks and broken text come through as text."""
    odd = renamed(sample(), {NAMES[0]: '"}\n\u2028\ud800'})
    assert '"}\n\u2028?' == checked(odd)['wines'][0]['wine']


def test_notes_are_told_once() -> None:
    """Notes of the whole and of the total are joined without doubles."""
    whole = dataclasses.replace(
        sample(), notes=('a',), total=dataclasses.replace(sample().total, notes=('a', 'b'))
    )
    assert ('a', 'b') == document(whole).notes


def test_the_reference_page_is_up_to_date() -> None:
    """The page in docs/ is what the code would write now."""
    assert schema_page() == PAGE.read_text(encoding='utf-8')


def test_every_field_is_explained_and_no_other() -> None:
    """The words of the page cover the fields of the schema exactly."""
    schema = findings_schema()
    shapes = [schema, *schema['$defs'].values()]
    explained = {name.rpartition('.')[2] for name in MEANINGS}
    assert explained == {name for shape in shapes for name in shape['properties']}


def table(directory: Path, name: str) -> list[dict[str, str]]:
    """A CSV table read back."""
    with (directory / name).open(encoding='utf-8', newline='') as stream:
        return list(csv.DictReader(stream))


def test_the_tables_hold_what_the_findings_say(tmp_path: Path) -> None:
    """Scores, pairs, components, ranks, categories, held rows, covariates read back equal."""
    findings = sample()
    write_csv(findings, tmp_path / 'out')
    wines = table(tmp_path / 'out', 'wines.csv')
    assert [w.adjusted for w in findings.total.wines] == [float(w['adjusted']) for w in wines]
    assert '' == wines[0]['shrunken']
    pairs = table(tmp_path / 'out', 'pairs.csv')
    assert [p.p_adjusted for p in findings.total.pairs] == [float(p['p_adjusted']) for p in pairs]
    components = table(tmp_path / 'out', 'components.csv')
    assert 4 * 6 == len(components)
    assert ('total', 'site', '0.0', '') == tuple(components[1].values())[:4]
    ranks = table(tmp_path / 'out', 'ranks.csv')
    first = [float(r['probability']) for r in ranks if r['wine'] == NAMES[0]]
    assert pytest.approx(1) == sum(first)
    assert 5 * 8 == len(table(tmp_path / 'out', 'categories.csv'))
    held = table(tmp_path / 'out', 'held.csv')
    assert ('easterly.csv', '14', 'aroma', '7½') == tuple(held[0].values())[:4]
    assert 6 == len(table(tmp_path / 'out', 'covariates.csv'))


def test_tables_of_a_tasting_in_parts_hold_every_part(tmp_path: Path) -> None:
    """Wines and pairs of all groups are there."""
    write_csv(disconnected(), tmp_path)
    assert set(NAMES) == {row['wine'] for row in table(tmp_path, 'wines.csv')}
    assert 10 + 3 == len(table(tmp_path, 'pairs.csv'))


@pytest.mark.parametrize(
    ('name', 'expected'),
    [
        ('=1+1', "'=1+1"),
        ('@cmd', "'@cmd"),
        ('-3', '-3'),
        ('a,"b"\nc', 'a,"b"\nc'),
        ("'=x", "'=x"),
    ],
)
def test_names_are_kept_and_formulas_defused(tmp_path: Path, name: str, expected: str) -> None:
    """A name that a spreadsheet would run gets an apostrophe; every other is kept."""
    write_csv(renamed(sample(), {NAMES[0]: name}), tmp_path)
    assert expected == table(tmp_path, 'wines.csv')[0]['wine']


def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    """A file in the way gives a refusal, not a traceback."""
    (tmp_path / 'out').write_text('in the way')
    with pytest.raises(OutputError):
        write_csv(sample(2), tmp_path / 'out')
