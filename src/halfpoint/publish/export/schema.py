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
    'taster_count': "tasters who marked",
    '.tasters': "a record a taster, by the key of the tasting file; think before sharing",
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
    'suspects': "bottles that lie furthest below what was to be expected, most suspect first",
    'shift': "points by which the bottle is off",
    'p_marks': "one-sided p value of the marks alone",
    'faults': "fault ticks here and elsewhere; null when nobody ticked any",
    'suggested': "whether it is suggested to the organiser; nothing is set aside by itself",
    'SuspectBottle.marks': "marks of the bottle",
    'SuspectBottle.p': "one-sided p value, fault ticks taken into account",
    'SuspectBottle.p_adjusted': "p value, all bottles being asked at once (false discovery rate)",
    'here': "entries that ticked a fault for this bottle",
    'entries_here': "entries for this bottle",
    'elsewhere': "entries that ticked a fault for this wine elsewhere",
    'entries_elsewhere': "entries for this wine elsewhere",
    'scale': "how tasters use the scale; null when the marks do not allow it",
    'severity_sd': "standard deviation of severity over tasters, points",
    'spread_sd': "standard deviation of the factor by which tasters stretch differences",
    'noise_sd': "standard deviation of a single mark, points",
    'freedom': "how alike tasters' noises are, as degrees of freedom: many when alike",
    'noise_ratio': "noise of the noisiest tenth of tasters over that of the steadiest tenth",
    'p_spread': "p value that all tasters stretch differences alike",
    'largest_move': "most that a wine moves against the main estimate, points",
    'table': "mixed-assessor analysis of variance over those who marked every wine",
    'score': "score with steadier tasters weighing more",
    'ScaleFindings.wines': "a wine each, best first",
    'term': "line of the table",
    'sum_of_squares': "sum of squares",
    'mean_square': "mean square",
    'panel': "how good the panel is; null when not asked for",
    'complete_tasters': "tasters who marked every wine",
    'intraclass': "intraclass correlations",
    'intraclass_tasters': "marks a wine has, for the forms that are about means",
    'IntraclassFinding.form': "(1), agreement A or consistency C; 1 taster or the mean of k",
    'value': "the figure",
    'concordance': "Kendall's W; null without tasters who marked every wine",
    'w': "Kendall's W",
    'chi_square': "chi-square statistic",
    'alphas': "Krippendorff's and Cronbach's alpha",
    'kind': "term, family, fault or own word",
    'AlphaFinding.kind': "which alpha, of what",
    'alpha': "the coefficient",
    'sources': "variance components of one mark, wines taken at random",
    'SourceFinding.source': "what varies",
    'SourceFinding.estimate': "component as it came out, perhaps below zero: from mean squares "
    "where marks are complete and rooms alike in number, otherwise as used",
    'SourceFinding.variance': "component as used: never below zero",
    'relative': "generalizability coefficient: how well wines are put in order",
    'absolute': "dependability coefficient: how well their level is found",
    'decisions': "the same for other numbers of sites, and of tasters at each",
    'DecisionFinding.tasters': "tasters at each site",
    'wine_facet': "wines on the ruler of log odds",
    'category_facet': "categories on it: higher is harder to earn",
    'name': "what it is called",
    'measure': "place on the ruler, log odds",
    'infit': "mean square weighted by information; 1 as the model expects",
    'outfit': "mean square, every mark alike; 1 as the model expects",
    'misfits': "tasters with an outfit above 1.4",
    'TasterFinding.wines': "wines marked",
    'TasterFinding.marks': "marks given",
    'complete': "share of the wines poured at the site that were marked",
    'withheld': "whether there is too little to publish figures",
    'TasterFinding.severity': "points below the others, same wines",
    'spread': "times the usual differences",
    'noise': "standard deviation of a single mark, points",
    'telling': "how far apart the wines are to this taster, over the noise",
    'agreement': "correlation with the others",
    'repeatability': "standard deviation of a mark given again, points",
    'second_pours': "wines poured again",
    'discrimination_p': "p value that this taster tells no wines apart",
    'scale_used': "share of the scale between lowest and highest total",
    'aroma': "aromas, faults, finish and remarks; null when nothing was ticked or written",
    'entries': "entries",
    'AromaFindings.wines': "a wine each",
    'AromaFindings.terms': "words ticked, most often first",
    'AromaFindings.pairs': "pairs of wines that a word tells apart",
    'AromaWine.terms': "words ticked, most often first",
    'marked': "words ticked clearly more for this wine than for the others",
    'finish': "median seconds of finish",
    'finish_low': "lower end of its 95 % interval",
    'finish_high': "upper end of its 95 % interval",
    'timed': "entries with a finish in seconds",
    'ticked': "entries that ticked it",
    'TermFinding.counts': "entries that ticked it, a wine each",
    'q': "Cochran's Q",
    'change': "points the total is higher where the same taster ticked it",
    'change_low': "lower end of its 95 % interval",
    'change_high': "upper end of its 95 % interval",
    'change_p': "p value of the change",
    'change_tasters': "tasters who ticked it for some wines and not for others",
    'TermFinding.p_adjusted': "p value, all words being asked at once (false discovery rate)",
    'more': "wine it was ticked for more",
    'less': "wine it was ticked for less",
    'only_more': "tasters who ticked it for the first only",
    'only_less': "tasters who ticked it for the second only",
    'TermPair.p_adjusted': "exact p value, all pairs being asked at once (Holm)",
    'map': "map of wines and terms; null when there is too little to draw",
    'shares': "share of all difference that each axis shows",
    'terms': "terms",
    'MapFinding.wines': "wines on it",
    'MapFinding.terms': "terms on it",
    'x': "place along the first axis",
    'y': "place along the second axis",
    'long': "longer half axis of the 95 % ellipse",
    'short': "shorter half axis",
    'turn': "turn of the longer axis, radians",
    'remarks': "words in remarks taken for terms, as written",
    'written': "words as written",
    'count': "how often",
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
