"""What a past panel says of practice wines, taken from the JSON of its result."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np

from halfpoint.errors import InputError
from halfpoint.sheet.form import Sheet
from halfpoint.teach.calibration import Known
from halfpoint.teach.prior import (
    KEPT_TO_NEXT_YEAR,
    USUAL_BOTTLE,
    USUAL_FREEDOM,
    USUAL_NOISE,
    USUAL_SEVERITY,
    USUAL_SPREAD,
    Estimate,
    Prior,
    carried,
    panel_prior,
)

TOTAL = 'total'
# A term that fewer than one in five of the panel ticked is nobody's to have missed; common
# practice, no source.
OFTEN = 0.2
MOST_TERMS = 6


@dataclass(frozen=True, slots=True)
class KnownTerm:
    """An aroma term with the share of the panel's entries for this wine that ticked it."""

    key: str
    share: float


@dataclass(frozen=True, slots=True)
class Reference:
    """A past panel's word on its wines.

    `marks` and `priors` are by category key, and 'total'; `terms` by wine, the most ticked first.
    """

    title: str
    invented: bool
    tasters: int
    wines: tuple[str, ...]
    marks: Mapping[str, Known]
    priors: Mapping[str, Prior]
    terms: Mapping[str, tuple[KnownTerm, ...]]


def reference_of(result: object, sheet: Sheet, where: str) -> Reference:
    """The reference that a result holds for practice on this sheet.

    Args:
        result: what `halfpoint results --json` wrote, read.
        sheet: the sheet of the practice.
        where: the file, for refusals.

    Raises:
        InputError: not a result, a result on another sheet, or one without comparable wines.
    """
    if not isinstance(result, Mapping) or not {'wines', 'categories', 'pairs'} <= result.keys():
        raise InputError(
            "this is not the result of a tasting",
            where=where,
            expected="what `halfpoint results --json FILE` wrote",
        )
    try:
        _refuse_another_sheet(result, sheet, where)
        return _read(result, sheet, where)
    except (KeyError, TypeError, ValueError, AttributeError) as reason:
        raise InputError(
            f"the result cannot be read ({reason})",
            where=where,
            expected="what `halfpoint results --json FILE` wrote, unchanged",
            remedy="write the result again with this version of halfpoint",
        ) from None


def own_prior(result: Mapping[str, Any], taster: str, panel: Prior, where: str) -> Prior:
    """A learner's own record in a past result as the prior for the total.

    Raises:
        InputError: the result has no record of this taster, or withholds it.
    """
    found = next((one for one in result.get('tasters', ()) if one.get('taster') == taster), None)
    figures = [found and found.get(name) for name in ('severity', 'spread', 'noise')]
    if not all(figures):
        raise InputError(
            f"no record of taster '{taster}' to start from",
            where=where,
            expected="the key of a taster of that tasting who marked enough wines",
            remedy="leave --taster out to start from the panel alone",
        )
    severity, spread, noise = map(_estimate, figures)
    return carried(panel, severity, spread, noise, KEPT_TO_NEXT_YEAR)


def _estimate(figure: Any) -> Estimate:
    low, high = float(figure['low']), float(figure['high'])
    return Estimate(float(figure['value']), (high - low) / (2 * 1.96), low, high)


def _refuse_another_sheet(result: Mapping[str, Any], sheet: Sheet, where: str) -> None:
    found = {key: float(part['top'] or 0.0) for key, part in result['categories'].items()}
    here = {category.key: category.top for category in sheet.categories}
    # A category that every taster marked alike has no result, and none to compare with.
    if not found or not found.items() <= here.items():
        raise InputError(
            f"its sheet is {result.get('sheet') or 'another'} ({_tops(found) or 'no categories'})",
            where=where,
            expected=f"the sheet of this practice, {sheet.label} ({_tops(here)})",
            remedy="practise on the sheet of that tasting with --sheet, or with another result",
        )


def _tops(tops: Mapping[str, float]) -> str:
    return ', '.join(f'{key} {top:g}' for key, top in tops.items())


def _read(result: Mapping[str, Any], sheet: Sheet, where: str) -> Reference:
    names = tuple(sorted(one['wine'] for one in result['wines'] if one['adjusted'] is not None))
    if not names:
        raise InputError(
            "no wine of this result can be compared with the others",
            where=where,
            expected="a tasting whose wines are all linked by common tasters",
        )
    tops = {TOTAL: sheet.top} | {each.key: each.top for each in sheet.categories}
    parts = {TOTAL: result} | result['categories']
    whole = {key: part for key, part in parts.items() if _complete(part, names)}
    return Reference(
        title=str(result['title']),
        invented=bool(result.get('invented')),
        tasters=int(result['taster_count']),
        wines=names,
        marks={key: _known(part, names, tops[key]) for key, part in whole.items()},
        priors={key: _prior(part, result, tops[key]) for key, part in whole.items()},
        terms=_terms(result.get('aroma'), sheet),
    )


def _complete(part: Mapping[str, Any], names: Sequence[str]) -> bool:
    scored = {one['wine'] for one in part['wines'] if one['adjusted'] is not None}
    return scored >= set(names)


def _known(part: Mapping[str, Any], names: Sequence[str], top: float) -> Known:
    """Scores with their whole covariance, which the errors of differences give back.

    cov(i, j) = (se_i² + se_j² - se_ij²) / 2: a panel's level is less sure than its differences.
    """
    place = {name: at for at, name in enumerate(names)}
    of = {one['wine']: one for one in part['wines']}
    score = np.array([float(of[name]['adjusted']) for name in names])
    variance = np.square([float(of[name]['se'] or 0.0) for name in names])
    covariance = np.diag(variance)
    for pair in part['pairs']:
        if pair['a'] in place and pair['b'] in place:
            a, b = place[pair['a']], place[pair['b']]
            shared = (variance[a] + variance[b] - float(pair['se']) ** 2) / 2.0
            covariance[a, b] = covariance[b, a] = shared
    differing = float(np.var(score, ddof=1)) if len(names) > 1 else 0.0
    unsure = (np.trace(covariance) - covariance.mean() * len(names)) / max(1, len(names) - 1)
    bottle = (part['components'].get('bottle') or {}).get('variance')
    return Known(
        score=score,
        covariance=covariance,
        centre=float(score.mean()),
        wine_sd=sqrt(max(differing - float(unsure), (0.01 * top) ** 2)),
        bottle_sd=USUAL_BOTTLE * top if bottle is None else sqrt(float(bottle)),
    )


def _prior(part: Mapping[str, Any], result: Mapping[str, Any], top: float) -> Prior:
    """How the panel's tasters differ; where the result does not say, the usual shares.

    However alike the panel's noises are, a learner is not yet taken to be so like them.
    """
    scale = result.get('scale') or {}
    spread = float(scale.get('spread_sd') or USUAL_SPREAD)
    if part is result and scale:
        return panel_prior(
            float(scale['severity_sd']), spread, float(scale['noise_sd']),
            min(float(scale.get('freedom') or USUAL_FREEDOM), USUAL_FREEDOM),
        )  # fmt: skip
    sds = {key: sqrt(float(one['variance'])) for key, one in part['components'].items()}
    return panel_prior(
        sds.get('taster', USUAL_SEVERITY * top), spread, sds.get('residual', USUAL_NOISE * top)
    )


def _terms(aroma: Any, sheet: Sheet) -> dict[str, tuple[KnownTerm, ...]]:
    if not aroma:
        return {}
    ticked = [one for one in aroma['terms'] if one['key'] in sheet.terms_by_key]
    return {
        wine['wine']: tuple(_of_wine(ticked, at, int(wine['entries'])))
        for at, wine in enumerate(aroma['wines'])
        if not wine['withheld'] and wine['entries']
    }


def _of_wine(ticked: Sequence[Any], at: int, entries: int) -> Iterator[KnownTerm]:
    shares = [KnownTerm(one['key'], (one['counts'][at] or 0) / entries) for one in ticked]
    often = (one for one in shares if one.share >= OFTEN)
    yield from sorted(often, key=lambda one: (-one.share, one.key))[:MOST_TERMS]
