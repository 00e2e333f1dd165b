"""The same check from what the main estimate already has in hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from halfpoint.errors import EstimateError
from halfpoint.estimate.ordinal.check import Pours, not_checked, order_check
from halfpoint.estimate.ordinal.said import OrdinalFindings
from halfpoint.estimate.ordinal.verdicts import verdicts_said
from halfpoint.estimate.threads import calm_threads

if TYPE_CHECKING:
    from halfpoint.estimate.design import Design
    from halfpoint.estimate.findings import MarkFindings


def pours_of(design: Design) -> Pours:
    """Wines, tasters, rooms, bottles and covariates as the main estimate takes them."""
    taster, site, bottle = (design.effect(name) for name in ('taster', 'site', 'bottle'))
    columns = [covariate.values for covariate in design.covariates]
    return Pours(
        wine=design.wine.codes,
        wines=design.wine.labels,
        taster=None if taster is None else taster.codes,
        site=None if site is None else site.codes,
        bottle=None if bottle is None else bottle.codes,
        covariates=np.column_stack(columns) if columns else None,
        named=tuple((covariate.name, covariate.level) for covariate in design.covariates),
    )


def check_weighed(
    design: Design,
    column: str,
    said: MarkFindings,
    *,
    possible: Sequence[float] | None = None,
    seed: int = 20,
) -> OrdinalFindings:
    """The order-only check of one kind of mark that has been weighed; never refuses.

    Args:
        design: the marks as arrays, as in `Weighing.design`.
        column: which kind of mark.
        said: what the main estimate said of it; its pairs are compared.
        possible: every mark that could have been given.
        seed: of the draws behind the p values.
    """
    place = design.names.index(column)
    marks = design.responses[:, place] + design.centres[place]
    try:
        if not said.pairs:
            raise EstimateError('the main estimate compares no wines')  # noqa: TRY301
        with calm_threads():
            return order_check(
                marks,
                pours_of(design),
                verdicts_said(said.pairs, design.wine.labels),
                possible=possible,
                seed=seed,
            )
    except EstimateError as refusal:
        return not_checked(refusal, int(marks.size))
