"""The whole result of a tasting: the total, each category, and the parts if not connected."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import polars as pl
from numpy.typing import NDArray

from halfpoint import __version__
from halfpoint.errors import EstimateError, TooFewMarks
from halfpoint.estimate.design import Form, met_cells
from halfpoint.estimate.findings import (
    AuditFinding,
    Findings,
    HeldFinding,
    MarkFindings,
    Part,
    SetAsideFinding,
)
from halfpoint.estimate.fit import RemlFit
from halfpoint.estimate.say import say_mark, say_raw
from halfpoint.estimate.threads import calm_threads
from halfpoint.estimate.weigh import Fit, MarkToWeigh, Weighing, fit_one, prepare, wine_parts

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Model:
    """What is asked of the estimate. `effects` None means all that the table supports.

    `components` says whether variance components are told, whose intervals take as long as all
    the rest.
    """

    effects: tuple[str, ...] | None = None
    form: Form = 'fixed'
    covariates: tuple[str, ...] = ()
    seed: int = 20
    components: bool = True


@dataclass(frozen=True, slots=True)
class About:
    """What the result says about where it comes from."""

    title: str
    sheet: str
    source: str
    invented: bool = False
    held: tuple[HeldFinding, ...] = ()
    set_aside: tuple[SetAsideFinding, ...] = ()
    notes: tuple[str, ...] = ()
    audit: AuditFinding | None = None


@dataclass(frozen=True)
class Weighed:
    """The findings with the fits behind them, a fit a mark; None for one that has no estimate."""

    findings: Findings
    weighing: Weighing
    marks: tuple[MarkToWeigh, ...]
    fits: tuple[Fit | None, ...]


def find_result(
    frame: pl.DataFrame,
    marks: Sequence[MarkToWeigh],
    model: Model,
    about: About,
    progress: Progress = lambda _: None,
) -> Findings:
    """What the main estimate says, see `weigh_all`."""
    return weigh_all(frame, marks, model, about, progress).findings


def weigh_all(
    frame: pl.DataFrame,
    marks: Sequence[MarkToWeigh],
    model: Model,
    about: About,
    progress: Progress = lambda _: None,
    last: Mapping[str, RemlFit] = MappingProxyType({}),
) -> Weighed:
    """Weigh every kind of mark; the first is the main one (the total).

    Args:
        frame: tidy, with `taster`, `wine`, maybe `site` and covariates, a column a mark.
        marks: the columns to weigh.
        model: effects, form, covariates, seed.
        about: carried into the findings.
        progress: told in words what is being weighed.
        last: by column, fits of nearly the same marks, from which it is quicker.

    Raises:
        EstimateError and its kinds: the main mark cannot be weighed at all.
    """
    with calm_threads():
        weighing = prepare(
            frame,
            [mark.column for mark in marks],
            effects=model.effects,
            form=model.form,
            covariates=model.covariates,
        )
        parts = _parts(weighing, model)
        connected = bool((parts == 0).all())
        apart: tuple[Part, ...] = ()
        if connected:
            told = []
            for mark in marks:
                progress(mark.label)
                told.append(
                    _say(weighing, mark, model, last.get(mark.column), main=mark is marks[0])
                )
        else:
            told = [(None, say_raw(weighing, mark, (_WHY_APART,))) for mark in marks]
            apart = _weigh_parts(frame, weighing, parts, marks[0], model)
    said = [each for _, each in told]
    findings = _findings(weighing, marks, said, apart, model, about)
    return Weighed(findings, weighing, tuple(marks), tuple(fit for fit, _ in told))


def _findings(
    weighing: Weighing,
    marks: Sequence[MarkToWeigh],
    said: list[MarkFindings],
    apart: tuple[Part, ...],
    model: Model,
    about: About,
) -> Findings:
    design = weighing.design
    return Findings(
        title=about.title,
        sheet=about.sheet,
        source=about.source,
        invented=about.invented,
        version=__version__,
        seed=model.seed,
        form=model.form,
        effects=weighing.effect_names,
        marks=design.marks,
        tasters=0 if design.taster is None else design.taster.size,
        sites=0 if design.site is None else design.site.size,
        connected=not apart,
        parts=apart,
        total=said[0],
        categories={mark.column: found for mark, found in zip(marks[1:], said[1:], strict=True)},
        held=about.held,
        set_aside=about.set_aside,
        notes=(*about.notes, *_repeat_notes(weighing)),
        audit=about.audit,
    )


_WHY_APART = "No chain of tasters links all wines, so there is no joint order."


def _say(
    weighing: Weighing, mark: MarkToWeigh, model: Model, last: RemlFit | None, *, main: bool
) -> tuple[Fit | None, MarkFindings]:
    """Weigh one mark; a category that cannot be weighed says why, the total refuses."""
    try:
        fit = fit_one(weighing, mark.column, last)
        return fit, say_mark(fit, mark, model.seed, components=model.components)
    except EstimateError as refusal:
        if main:
            raise
        return None, say_raw(weighing, mark, (f"Not weighed: {refusal.found}.",))


def _parts(weighing: Weighing, model: Model) -> NDArray[np.int64]:
    """Part of each wine; tasters taken as alike (an explicit choice) link everything."""
    return wine_parts(weighing.design, by_taster=model.effects is None)


def _weigh_parts(
    frame: pl.DataFrame,
    weighing: Weighing,
    parts: NDArray[np.int64],
    mark: MarkToWeigh,
    model: Model,
) -> tuple[Part, ...]:
    labels = weighing.design.wine.labels
    made = []
    for number in range(int(parts.max()) + 1):
        wines = tuple(labels[i] for i in np.flatnonzero(parts == number))
        piece = frame.filter(pl.col('wine').cast(pl.String).is_in(list(wines)))
        tasters = piece.get_column('taster').n_unique() if 'taster' in piece.columns else 0
        made.append(Part(wines, tasters, piece.height, _weigh_part(piece, wines, mark, model)))
    return tuple(made)


def _weigh_part(
    piece: pl.DataFrame, wines: tuple[str, ...], mark: MarkToWeigh, model: Model
) -> MarkFindings | None:
    if len(wines) < 2:
        return None
    try:
        weighing = prepare(
            piece,
            [mark.column],
            effects=model.effects,
            form=model.form,
            covariates=model.covariates,
        )
        return say_mark(fit_one(weighing, mark.column), mark, model.seed)
    except EstimateError:
        return None


def _repeat_notes(weighing: Weighing) -> tuple[str, ...]:
    """Say so when tasters had a wine more than once and the model does not know it."""
    design = weighing.design
    if design.taster is None or 'taster:wine' in weighing.effect_names:
        return ()
    cells = met_cells(design.taster, design.wine).size
    if design.effect('taster') is None or design.marks < 1.3 * cells:
        return ()
    note = (
        "Many tasters had a wine more than once; adding the effect taster:wine tells a "
        "taster's own liking of a wine from the noise of a single pour."
    )
    return (note,)


def refuse_lone_taster(frame: pl.DataFrame) -> None:
    """Refuse marks of a single taster: nothing then tells the wine from the taster's whim.

    Raises:
        TooFewMarks: when there is one taster.
    """
    if 'taster' in frame.columns and frame.get_column('taster').n_unique() < 2:
        raise TooFewMarks(
            'all marks are by one taster',
            expected='marks of at least two tasters',
            remedy='gather more sheets, or check which column names the taster (--map taster=…)',
        )
