"""The panel as a whole: reliability coefficients, sources of variance, what more would bring."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isnan

import numpy as np

from halfpoint.errors import EstimateError
from halfpoint.estimate.design import Design
from halfpoint.estimate.scale.from_weighing import cube_of
from halfpoint.panel.concordance import concordance
from halfpoint.panel.consistency import cronbach
from halfpoint.panel.facets import Facet, FacetsFit
from halfpoint.panel.from_squares import estimates_from_squares
from halfpoint.panel.generalizability import Component, decide, from_fit
from halfpoint.panel.intraclass import from_components, intraclass
from halfpoint.panel.krippendorff import krippendorff
from halfpoint.panel.said import (
    AlphaFinding,
    ConcordanceFinding,
    DecisionFinding,
    FacetFinding,
    IntraclassFinding,
    PanelFindings,
    SourceFinding,
)
from halfpoint.panel.two_way import Floats

SITES = (1, 2, 3, 5, 8, 12, 20, 30)
TASTERS = (1, 2, 3, 4, 6, 8, 12, 16, 24)
# Mean squares outside these are worth a look: Wright and Linacre (1994), Rasch Measurement
# Transactions 8:3, 370 (ratings of surveys 0.6 to 1.4).
MISFIT = 1.4


@dataclass(frozen=True, slots=True)
class Variances:
    """Variances of the main estimate with wines taken at random, in points squared."""

    wine: float
    taster: float
    site: float
    bottle: float
    left: float


def describe_panel(
    design: Design,
    column: str,
    categories: tuple[str, ...],
    variances: Variances | None,
    facets: FacetsFit | None,
    names: tuple[str, ...],
    level: Floats | None = None,
) -> PanelFindings:
    """How good the panel is at one kind of mark.

    Args:
        design: the marks as arrays, with a taster.
        column: the kind of mark (the total).
        categories: columns whose consistency is asked for.
        variances: of the random-wine form; None where it could not be fitted.
        facets: the rating scale of the categories; None where it could not be fitted.
        names: names of the categories, as in `facets`.
        level: marks of that kind less what covariates add, shape (n,), for components from mean
            squares; without it components are told as they are used.
    """
    cube = cube_of(design, design.responses[:, design.names.index(column)])
    table = None if cube is None else cube.mean(axis=2).T
    forms, per_wine = _intraclass(design, table, variances)
    components = () if variances is None else _components(variances)
    told = {} if level is None else estimates_from_squares(design, level)
    here = _here(design)
    reached = decide(components, here) if components else None
    return PanelFindings(
        tasters=0 if design.taster is None else design.taster.size,
        complete_tasters=0 if table is None else table.shape[1],
        intraclass=forms,
        intraclass_tasters=per_wine,
        concordance=_concordance(table),
        alphas=tuple(_alphas(design, column, categories)),
        sources=tuple(
            SourceFinding(
                ' × '.join(_ordered(each)), told.get(each.facets, each.estimate), each.variance
            )
            for each in components
        ),
        relative=None if reached is None else _finite(reached.relative),
        absolute=None if reached is None else _finite(reached.absolute),
        decisions=tuple(_decisions(components)),
        wine_facet=() if facets is None else tuple(_facet(facets.wine, design.wine.labels)),
        category_facet=() if facets is None else tuple(_facet(facets.category, names)),
        misfits=0 if facets is None else int((facets.taster.outfit > MISFIT).sum()),
        sentence=_sentence(reached.relative if reached else None, here, components),
        notes=_notes(table, design, facets),
    )


def _intraclass(
    design: Design, table: Floats | None, variances: Variances | None
) -> tuple[tuple[IntraclassFinding, ...], float | None]:
    """From mean squares when everybody marked everything, from variances otherwise."""
    if table is not None and design.taster is not None and table.shape[1] == design.taster.size:
        try:
            forms = intraclass(table)
        except EstimateError:
            return (), None
        told = tuple(IntraclassFinding(f.form, f.value, f.low, f.high) for f in forms)
        return told, float(table.shape[1])
    if variances is None:
        return (), None
    marks = np.bincount(design.wine.codes, minlength=design.wine.size)
    per_wine = float(marks.size / (1.0 / np.maximum(1, marks)).sum())
    forms = from_components(
        wine=variances.wine,
        taster=variances.taster + variances.site,
        left=variances.bottle + variances.left,
        tasters=per_wine,
    )
    kept = (f for f in forms if not isnan(f.value))
    return tuple(IntraclassFinding(f.form, f.value, None, None) for f in kept), per_wine


def _concordance(table: Floats | None) -> ConcordanceFinding | None:
    if table is None:
        return None
    try:
        found = concordance(table)
    except EstimateError:
        return None
    return ConcordanceFinding(found.w, found.chi_square, found.df, found.p, found.tasters)


def _alphas(design: Design, column: str, categories: tuple[str, ...]) -> Iterator[AlphaFinding]:
    """Krippendorff's of the panel, Cronbach's of the sheet's categories."""
    marks = _wines_by_tasters(design, column)
    for metric in ('ordinal', 'interval'):
        try:
            found = krippendorff(marks, 'ordinal' if metric == 'ordinal' else 'interval')
        except EstimateError:
            continue
        yield AlphaFinding(f'krippendorff {metric}', found.alpha, None, None)
    places = [design.names.index(name) for name in categories if name in design.names]
    if len(places) < 2:
        return
    try:
        together = cronbach(design.responses[:, places])
    except EstimateError:
        return
    yield AlphaFinding('cronbach categories', together.alpha, together.low, together.high)


def _wines_by_tasters(design: Design, column: str) -> Floats:
    """Mean marks, NaN where there is none, shape (wines, tasters); in half points when so given."""
    if design.taster is None:
        return np.empty((design.wine.size, 0))
    index = design.names.index(column)
    marks = np.round(design.responses[:, index] + design.centres[index], 9)
    cell = design.wine.codes * design.taster.size + design.taster.codes
    size = design.wine.size * design.taster.size
    counts = np.bincount(cell, minlength=size)
    with np.errstate(invalid='ignore', divide='ignore'):
        mean = np.bincount(cell, marks, size) / counts
    return np.asarray(np.where(counts > 0, mean, np.nan).reshape(design.wine.size, -1))


def _components(variances: Variances) -> tuple[Component, ...]:
    return from_fit(
        wine=variances.wine,
        taster=variances.taster,
        site=variances.site,
        bottle=variances.bottle,
        left=variances.left,
    )


def _ordered(component: Component) -> list[str]:
    return [name for name in ('wine', 'site', 'taster') if name in component.facets]


def _here(design: Design) -> dict[str, int]:
    """Sites, and tasters at each on average, of the tasting as it was."""
    sites = 1 if design.site is None else design.site.size
    tasters = 1 if design.taster is None else design.taster.size
    return {'site': sites, 'taster': max(1, round(tasters / sites))}


def _decisions(components: tuple[Component, ...]) -> Iterator[DecisionFinding]:
    if not components:
        return
    for sites in SITES:
        for tasters in TASTERS:
            found = decide(components, {'site': sites, 'taster': tasters})
            if not isnan(found.relative):
                yield DecisionFinding(sites, tasters, found.relative, found.absolute)


def _facet(facet: Facet, names: tuple[str, ...]) -> Iterator[FacetFinding]:
    for number, name in enumerate(names[: len(facet.measure)]):
        yield FacetFinding(
            name,
            _finite(float(facet.measure[number])),
            _finite(float(facet.se[number])),
            _finite(float(facet.infit[number])),
            _finite(float(facet.outfit[number])),
            int(facet.marks[number]),
        )


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None


def _sentence(
    relative: float | None, here: dict[str, int], components: tuple[Component, ...]
) -> str:
    if relative is None or isnan(relative):
        return "The marks do not allow a figure for how reliable the panel is."
    alone = decide(components, {'site': 1, 'taster': 1}).relative
    return (
        f"Another panel of this size would put the wines in much the same order (reliability "
        f"{relative:.2f} of 1); a single taster would not ({alone:.2f})."
        if relative >= 0.7 > alone
        else f"The order of the wines has a reliability of {relative:.2f} of 1; that of a single "
        f"taster is {alone:.2f}."
    )


def _notes(table: Floats | None, design: Design, facets: FacetsFit | None) -> tuple[str, ...]:
    notes = []
    tasters = 0 if design.taster is None else design.taster.size
    complete = 0 if table is None else table.shape[1]
    if complete < tasters:
        notes.append(
            f"{complete} of {tasters} tasters marked every wine; Kendall's W rests on them, and "
            "intraclass correlations on variance components."
        )
    if not _repeated(design):
        notes.append(
            "Nobody was poured a wine twice, so how closely tasters repeat themselves is not told."
        )
    return (*notes, *(facets.notes if facets is not None else ()))


def _repeated(design: Design) -> bool:
    """Whether any taster marked a wine more than once."""
    if design.taster is None:
        return False
    cell = design.taster.codes * design.wine.size + design.wine.codes
    return bool(np.bincount(cell).max(initial=0) > 1)
