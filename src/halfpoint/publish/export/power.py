"""The outlook of a tasting as one JSON document, and the page that explains it."""

from __future__ import annotations

from functools import cache
from typing import Any

from pydantic import TypeAdapter

from halfpoint.plan.outlook import Outlook
from halfpoint.publish.export.document import as_json
from halfpoint.publish.export.schema import DIALECT, Generate, shape_page

# The words of the reference page; a test holds them complete.
MEANINGS = {
    'title': "name of the tasting; null without a tasting file",
    'version': "version of halfpoint that reckoned it",
    'Outlook.sites': "sites (rooms)",
    'Outlook.tasters': "tasters at all sites together",
    'sites': "sites (rooms)",
    'tasters': "tasters at each site",
    'fewest_at_a_site': "tasters at the smallest site",
    'most_at_a_site': "tasters at the largest site",
    'wines': "wines in all",
    'fewest_wines_at_a_site': "wines at the site that pours fewest",
    'most_wines_at_a_site': "wines at the site that pours most",
    'difference': "true difference of two wines that is asked about, points",
    'alpha': "two-sided level at which wines count as told apart",
    'pairs': "`one`: two wines chosen beforehand; `all`: every pair asked at once (Tukey)",
    'power_wanted': "how often is often enough, 0 to 1",
    'standard_error': "of a difference of two wines, points; root of the average variance",
    'degrees_of_freedom': "of that standard error (Satterthwaite); the middle one of all pairs",
    'least_detectable_difference': "least difference told apart `power_wanted` of the time",
    'worst_pair': "the pair of wines the plan compares worst",
    'best_pair': "the pair it compares best",
    'one_pair': "as at the top, for two wines chosen beforehand",
    'all_pairs': "as at the top, every pair asked at once",
    'needed_sites': (
        "fewest sites, of as many tasters, that tell `difference` often enough; null when none do"
    ),
    'needed_tasters_at_a_site': "fewest tasters at each of these sites; null when none do",
    'components': "what was assumed to vary: taster, site, bottle, residual",
    'if_more': (
        "as at the top, all that past tastings told being at the far end of its range; null "
        "without them"
    ),
    'if_less': "as at the top, all of it being at the near end",
    'curve': "power and least difference over numbers of like sites and tasters",
    'simulation': "what simulated tastings told; null without `--simulate`",
    'notes': "what there was to say besides",
    'variance': "points squared",
    'sd': "its square root, points",
    'source': "`option`, `tasting file`, `past tasting` or `default`",
    'low': (
        "where the standard deviation of a tasting to come begins, 95 times in 100; null without "
        "past tastings"
    ),
    'high': "where it ends",
    'seen': "what each past tasting showed of it",
    'Seen.title': "name of the past tasting",
    'Seen.sd': "its standard deviation, points",
    'Seen.se': "standard error of that",
    'se': "standard error of a difference, points",
    'df': "degrees of freedom",
    'power': "how often `difference` would be told apart, 0 to 1",
    'detectable': "least difference told apart `power_wanted` of the time; null when none is",
    'tastings': "tastings simulated",
    'fitted': "of these, weighed",
    'told': "of these, tastings that told the difference",
    'share': "`told` over `fitted`",
    'share_se': "its Monte Carlo standard error",
    'formula': "`power` by the formula",
    'alike': "share in which two wines that are alike were told apart; null under four wines",
    'alike_se': "its Monte Carlo standard error",
}
_INTRODUCTION = """# The power as JSON

<!-- Made by tools/reference.py: change the code, then run `make docs`. -->

`halfpoint power … --json FILE` writes one JSON document.
Numbers are in points unless said otherwise; what has no finite value is `null`.
Fields always come in the order below.
"""


def power_json(outlook: Outlook) -> str:
    """The outlook as a JSON document, described by `power_schema`."""
    return as_json(outlook)


@cache
def _schema() -> dict[str, Any]:
    made = TypeAdapter(Outlook).json_schema(mode='serialization', schema_generator=Generate)
    return {'$schema': DIALECT, **made, 'title': 'halfpoint power'}


def power_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of what `power_json` writes."""
    return dict(_schema())


def power_page() -> str:
    """The reference page of the JSON document, in Markdown."""
    # The document is not among the definitions, so its own fields go by the plain name.
    own = {
        name.removeprefix('Outlook.'): words
        for name, words in MEANINGS.items()
        if name.startswith('Outlook.')
    }
    point = {f'CurvePoint.{name}': MEANINGS[name] for name in own}
    return shape_page(_schema(), _INTRODUCTION, {**MEANINGS, **own, **point})
