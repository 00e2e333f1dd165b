"""The JSON Schema of the result, generated from the code, and the page that explains it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from halfpoint.publish.export.document import Document

DIALECT = 'https://json-schema.org/draft/2020-12/schema'

# The words of the reference page; a test holds them complete.
MEANINGS = {
    'title': "name of the tasting",
    'sheet': "score sheet it was marked on",
    'source': "table or tasting file the marks came from",
    'invented': "true when the tasting is made up for demonstration",
    'version': "version of halfpoint that made the result",
    'seed': "seed of every random draw",
    'form': "`fixed` or `random`: how wines enter the model",
    'effects': "random terms that were fitted",
    'marks': "marks weighed",
    'tasters': "tasters",
    'sites': "sites (rooms)",
    'connected': "whether one order of all wines exists",
    'key': "short name of the kind of mark",
    'label': "name of the kind of mark",
    'top': "highest mark the sheet allows; null when not known",
    'mean': "plain average of all marks",
    'sd': "standard deviation of all marks",
    'wines': "a wine each; in a part, their names",
    'pairs': "every pair of wines",
    'components': "variances by source: taster, site, bottle, wine, residual",
    'criterion': "REML criterion at the optimum",
    'covariates': "what each covariate adds for one unit or one level",
    'wine_test': "F test that all wines are alike",
    'severity': "counts of tasters by severity, in points",
    'bottles': "predicted effect of each site's bottle",
    'parts': "groups of wines with no taster in common, when not connected",
    'categories': "the same for each category of the sheet",
    'held': "rows received but not accepted",
    'set_aside': "entries kept but left out; they name tasters, so think before sharing",
    'audit': "pages from paper looked at a second time; null when none was",
    'pages': "pages looked at again",
    'boxes': "boxes on them that no person had decided before",
    'AuditFinding.marks': "marks on them that no person had decided before",
    'wrong_marks': "marks found to be read wrongly, and put right",
    'wrong_boxes': "boxes found to be read wrongly, and put right",
    'confidence': "confidence of the two bounds (Clopper and Pearson, one-sided)",
    'marks_below': "fewer than this share of such marks is wrong",
    'boxes_below': "fewer than this share of such boxes is wrong",
    'notes': "what the estimate had to say besides",
    'wine': "name of the wine",
    'raw_mean': "plain average",
    'adjusted': "score at the average taster, site, bottle and position",
    'se': "standard error, points",
    'df': "degrees of freedom (Satterthwaite)",
    'low': "lower end of the 95 % interval",
    'high': "upper end of the 95 % interval",
    'shrunken': "score drawn towards the average of all wines",
    'rank_low': "best place of the 90 % interval of places",
    'rank_high': "worst place of the 90 % interval of places",
    'rank_probability': "chance of each place, first place first",
    'p_best': "chance of being first",
    'letters': "wines that share a letter cannot be told apart",
    'a': "first wine of the pair",
    'b': "second wine of the pair",
    'difference': "score of `a` less score of `b`",
    'p': "p value",
    'p_adjusted': "p value, all pairs being asked at once",
    'variance': "points squared",
    'covariate': "name of the covariate",
    'level': "level of a covariate in words; null for a number",
    'estimate': "points added by one unit or by the level",
    't': "t statistic",
    'f': "F statistic",
    'num_df': "numerator degrees of freedom",
    'den_df': "denominator degrees of freedom",
    'edges': "ends of the classes, in points; one more than counts",
    'counts': "tasters in each class",
    'site': "name of the site",
    'effect': "points the bottle adds",
    'result': "what the marks of the part say; null when too few",
    'file': "file the row came in",
    'row': "row of that file, counted from 1",
    'field': "column that could not be accepted",
    'found': "what stood there",
    'expected': "what would have been accepted",
    'taster': "taster of the entry",
    'who': "who set the entry aside",
    'why': "the reason given",
    'ordinal': "the same marks weighed as ordered steps alone; null when that was not asked for",
    'link': "`logit` or `probit`: what the noise on the hidden scale looks like",
    'nodes': "nodes of the quadrature over tasters; 1 is Laplace, 0 when nothing was fitted",
    'OrdinalFindings.steps': "the steps, lowest first",
    'OrdinalFindings.wines': "a wine each, in the order the steps give",
    'OrdinalFindings.covariates': "what each covariate adds on the hidden scale",
    'spreads': "standard deviations of tasters, sites and bottles on the hidden scale",
    'loglik': "log-likelihood of the steps",
    'same_order': "whether steps and points give one order; null when nothing was fitted",
    'opposite': "pairs that both tell apart, the other way round",
    'points_only': "pairs told apart by points only",
    'steps_only': "pairs told apart by steps only",
    'held_in': "whether a weak prior keeps the answer finite",
    'sentence': "the check in one sentence",
    'lowest': "lowest mark of the step",
    'highest': "highest mark of the step",
    'OrdinalStep.marks': "marks on the step",
    'threshold': "where the step ends on the hidden scale, for the average wine; null on top",
    'OrdinalStep.se': "standard error of the threshold",
    'OrdinalWine.effect': "place of the wine on the hidden scale; all wines sum to zero",
    'OrdinalWine.se': "its standard error",
    'OrdinalCovariate.effect': "what one unit or the level adds on the hidden scale",
    'OrdinalCovariate.se': "its standard error",
    'points': "score of `a` less score of `b`",
    'points_p': "p value by points, all pairs being asked at once",
    'OrdinalPair.steps': "effect of `a` less effect of `b`",
    'steps_p': "p value by steps, all pairs being asked at once",
}


class Generate(GenerateJsonSchema):
    """Numbers may be null, as `to_json` writes what has no finite value; nothing is extra."""

    def float_schema(self, schema: core_schema.FloatSchema) -> JsonSchemaValue:
        """A number or null."""
        return {'type': ['number', 'null']}

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        """As the inner shape when that may be null already."""
        inner = self.generate_inner(schema['schema'])
        return inner if 'null' in inner.get('type', ()) else super().nullable_schema(schema)

    def dataclass_schema(self, schema: core_schema.DataclassSchema) -> JsonSchemaValue:
        """Nothing but the fields."""
        return {**super().dataclass_schema(schema), 'additionalProperties': False}

    def field_title_should_be_set(self, schema: Any) -> bool:
        """No titles: the names of fields say enough."""
        return False


@cache
def _schema() -> dict[str, Any]:
    made = TypeAdapter(Document).json_schema(mode='serialization', schema_generator=Generate)
    return {'$schema': DIALECT, **made, 'title': 'halfpoint result'}


def findings_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of what `to_json` writes."""
    return dict(_schema())


def schema_page() -> str:
    """The reference page of the JSON document, in Markdown."""
    return shape_page(_schema(), _INTRODUCTION, MEANINGS)


def shape_page(schema: dict[str, Any], introduction: str, meanings: Mapping[str, str]) -> str:
    """A page with a table of fields for the document and for each thing in it.

    `meanings` has words by field, or by `Thing.field` where one name means two things.
    """
    parts = [introduction, _section("The document", '', schema, meanings)]
    for name, definition in sorted(schema['$defs'].items()):
        parts.append(_section(f'`{_spaced(name)}`', name, definition, meanings))
    return '\n'.join(parts)


_INTRODUCTION = """# The result as JSON

<!-- Made by tools/reference.py: change the code, then run `make docs`. -->

`halfpoint results … --json FILE` writes one JSON document.
What the total says stands at the top level; `categories` says the same for each category.
Numbers are in points unless said otherwise; what has no finite value is `null`.
Fields always come in the order below.
"""


def _section(
    title: str, thing: str, definition: dict[str, Any], meanings: Mapping[str, str]
) -> str:
    lines = [f'## {title}', '', '| field | type | what it is |', '|---|---|---|']
    for name, shape in definition['properties'].items():
        meaning = meanings.get(f'{thing}.{name}') or meanings[name]
        lines.append(f'| `{name}` | {_type(shape)} | {meaning} |')
    return '\n'.join([*lines, ''])


def _type(shape: dict[str, Any]) -> str:
    if '$ref' in shape:
        return f"`{_spaced(shape['$ref'].rsplit('/', 1)[-1])}`"
    if 'anyOf' in shape:
        return ' or '.join(_type(option) for option in shape['anyOf'])
    if shape.get('type') == 'array':
        return f"list of {_type(shape['items'])}"
    if 'additionalProperties' in shape:
        return f"object of {_type(shape['additionalProperties'])} by key"
    kind = shape['type']
    return ' or '.join(kind) if isinstance(kind, list) else str(kind)


def _spaced(name: str) -> str:
    return re.sub(r'(?<=[a-z])(?=[A-Z])', ' ', name).lower()
