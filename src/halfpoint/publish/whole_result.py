"""Everything the marks say: the main estimate, and what is asked of it from every other side.

What cannot be had from the marks is left out, with a note; only the main estimate may refuse.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from halfpoint.aroma.describe import describe_aroma
from halfpoint.aroma.said import AromaFindings
from halfpoint.aroma.words import SheetWords
from halfpoint.errors import EstimateError
from halfpoint.estimate.bottles import suspect_bottles
from halfpoint.estimate.findings import Findings, MarkFindings, SuspectBottle
from halfpoint.estimate.ordinal.from_weighing import check_weighed
from halfpoint.estimate.result import About, Model, Progress, Weighed, weigh_all
from halfpoint.estimate.scale.fit import ScaleFit
from halfpoint.estimate.scale.from_weighing import fit_weighed, marks_alone, marks_level, say_scale
from halfpoint.estimate.scale.said import ScaleFindings
from halfpoint.estimate.weigh import Fit, MarkToWeigh, fit_one
from halfpoint.panel.describe import Variances, describe_panel
from halfpoint.panel.facets import FacetsFit, fit_facets
from halfpoint.panel.said import PanelFindings, TasterFinding
from halfpoint.panel.tasters import Scale, describe_tasters

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Depth:
    """How much is asked beyond the main estimate, and how few marks are too few to publish."""

    order: bool = True
    scale: bool = True
    bottles: bool = True
    panel: bool = True
    aroma: bool = True
    least: int = 5


def whole_result(
    frame: pl.DataFrame,
    marks: Sequence[MarkToWeigh],
    model: Model,
    about: About,
    *,
    words: SheetWords | None = None,
    depth: Depth = Depth(),
    progress: Progress = lambda _: None,
) -> Findings:
    """The main estimate and everything beside it.

    Args:
        frame: as for `weigh_all`, and of entries their terms, faults, finish and remarks.
        marks: the columns to weigh, the total first.
        model: effects, form, covariates, seed.
        about: carried into the findings.
        words: what the sheet offers to tick; without it aromas are left out.
        depth: what is asked for.
        progress: told in words what is being weighed.

    Raises:
        EstimateError and its kinds: the main mark cannot be weighed at all.
    """
    weighed = weigh_all(frame, marks, model, about, progress)
    found = weighed.findings
    if depth.order:
        found = _with_order(found, weighed, model, progress)
    scale = _scale(weighed, progress) if depth.scale or depth.panel else None
    main = weighed.fits[0]
    aroma = _aroma(frame, words, weighed, model, depth, progress) if depth.aroma else None
    panel, tasters = _people(weighed, scale, depth, progress)
    return replace(
        found,
        suspects=_suspects(frame, weighed, progress) if depth.bottles else (),
        scale=_said(main, scale) if depth.scale else None,
        panel=panel,
        by_taster=tasters,
        aroma=aroma,
    )


def _with_order(found: Findings, weighed: Weighed, model: Model, progress: Progress) -> Findings:
    """The order-only check of every kind of mark."""
    if not found.connected:
        return found
    progress("order alone")

    def checked(mark: MarkToWeigh, said: MarkFindings) -> MarkFindings:
        possible = mark.possible
        design = weighed.weighing.design
        order = check_weighed(design, mark.column, said, possible=possible, seed=model.seed)
        return replace(said, ordinal=order)

    said = [found.total, *found.categories.values()]
    told = [checked(mark, each) for mark, each in zip(weighed.marks, said, strict=True)]
    return replace(
        found, total=told[0], categories=dict(zip(found.categories, told[1:], strict=True))
    )


def _scale(weighed: Weighed, progress: Progress) -> ScaleFit | None:
    main = weighed.fits[0]
    if main is None:
        return None
    progress("scale use")
    try:
        return fit_weighed(main)
    except EstimateError:
        return None


def _said(main: Fit | None, scale: ScaleFit | None) -> ScaleFindings | None:
    return None if main is None or scale is None else say_scale(main, scale)


def _suspects(
    frame: pl.DataFrame, weighed: Weighed, progress: Progress
) -> tuple[SuspectBottle, ...]:
    main = weighed.fits[0]
    if main is None:
        return ()
    progress("bottles")
    faulty = None
    if 'faults' in frame.columns and frame.schema['faults'] == pl.List(pl.String):
        faulty = frame.get_column('faults').list.len().fill_null(0).to_numpy() > 0
    try:
        return suspect_bottles(main, faulty, top=weighed.marks[0].top)
    except EstimateError:
        return ()


def _people(
    weighed: Weighed, scale: ScaleFit | None, depth: Depth, progress: Progress
) -> tuple[PanelFindings | None, tuple[TasterFinding, ...]]:
    """The panel, and each taster."""
    design, main = weighed.weighing.design, weighed.fits[0]
    if not depth.panel or design.taster is None or main is None:
        return None, ()
    progress("the panel")
    total, categories = weighed.marks[0], weighed.marks[1:]
    facets = _facets(weighed)
    column = design.names.index(total.column)
    given = design.responses[:, column] + design.centres[column]
    panel = describe_panel(
        design,
        total.column,
        tuple(mark.column for mark in categories),
        _variances(weighed),
        facets,
        tuple(mark.label for mark in categories) or (total.label,),
        marks_level(main),
    )
    tasters = describe_tasters(
        design,
        marks_alone(main),
        given,
        None if total.top is None else Scale(total.lowest, total.top),
        scale,
        None if facets is None else facets.taster,
        least=depth.least,
    )
    return panel, tasters


def _variances(weighed: Weighed) -> Variances | None:
    """Of the total, wines at random."""
    weighing = replace(weighed.weighing, form='random')
    try:
        found = fit_one(weighing, weighed.marks[0].column).reml.variances()
    except EstimateError:
        return None
    return Variances(
        wine=found.get('wine', 0.0),
        taster=found.get('taster', 0.0),
        site=found.get('site', 0.0),
        bottle=found.get('bottle', 0.0),
        left=found['residual'],
    )


def _facets(weighed: Weighed) -> FacetsFit | None:
    """The rating scale over the categories, or over the total where there are none."""
    design = weighed.weighing.design
    marks = [mark for mark in weighed.marks[1:] or weighed.marks[:1] if mark.step is not None]
    if not marks or design.taster is None:
        return None
    steps = np.concatenate([_steps(weighed, mark) for mark in marks])
    category = np.repeat(np.arange(len(marks)), design.marks)
    wine, taster = (np.tile(f.codes, len(marks)) for f in (design.wine, design.taster))
    try:
        return fit_facets(steps, wine, taster, category)
    except EstimateError:
        return None


def _steps(weighed: Weighed, mark: MarkToWeigh) -> NDArray[np.int64]:
    design = weighed.weighing.design
    place = design.names.index(mark.column)
    marks = design.responses[:, place] + design.centres[place]
    return np.asarray(np.rint((marks - mark.lowest) / (mark.step or 1.0)), dtype=np.int64)


def _aroma(
    frame: pl.DataFrame,
    words: SheetWords | None,
    weighed: Weighed,
    model: Model,
    depth: Depth,
    progress: Progress,
) -> AromaFindings | None:
    if words is None or not {'taster', 'wine', 'total'} <= set(frame.columns):
        return None
    progress("aromas")
    main = weighed.fits[0]
    adjusted: Floats | None = None
    if main is not None:
        adjusted = marks_alone(main) - main.estimates[weighed.weighing.design.wine.codes]
    return describe_aroma(frame, words, adjusted, least=depth.least, seed=model.seed)
