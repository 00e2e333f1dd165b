"""Each taster's record, from the fits of the whole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from halfpoint.estimate.design import Design
from halfpoint.estimate.scale.fit import Estimates, ScaleFit
from halfpoint.panel.facets import Facet
from halfpoint.panel.own_record import with_the_others, within_taster
from halfpoint.panel.said import Interval, TasterFinding
from halfpoint.panel.two_way import Floats

LEAST_MARKS = 5


@dataclass(frozen=True, slots=True)
class Scale:
    """Lowest and highest total that the sheet allows."""

    lowest: float
    top: float


def describe_tasters(
    design: Design,
    marks: Floats,
    given: Floats,
    scale: Scale | None,
    fit: ScaleFit | None,
    facet: Facet | None,
    *,
    least: int = LEAST_MARKS,
) -> tuple[TasterFinding, ...]:
    """What is said of each taster, in the order of their names.

    Args:
        design: with tasters.
        marks: totals less what covariates, rooms and bottles add, shape (n,).
        given: totals as given, shape (n,).
        scale: of the totals; without it no share of it is told.
        fit: scale use; without it severity, spread and noise are not told.
        facet: tasters of the rating scale.
        least: below so many marks nothing is told.
    """
    if design.taster is None:
        return ()
    codes, wines = design.taster.codes, design.wine.codes
    own = within_taster(marks, codes, wines)
    others = with_the_others(marks, codes, wines)
    homes, complete = _homes(design, own.wines.astype(np.float64))
    used = _used(given, codes, design.taster.size, scale)
    apart = 0.0 if fit is None else float(np.std(fit.scores.value, ddof=1))
    made = []
    for number, name in enumerate(design.taster.labels):
        count = int(own.marks[number])
        told = count >= least
        made.append(
            TasterFinding(
                taster=name,
                site=None if design.site is None else design.site.labels[homes[number]],
                marks=count,
                wines=int(own.wines[number]),
                complete=float(complete[number]),
                withheld=not told,
                severity=_interval(None if fit is None else fit.severity, number, told),
                spread=_interval(None if fit is None else fit.spread, number, told),
                noise=_interval(None if fit is None else fit.noise, number, told),
                telling=_telling(fit, number, apart) if told else None,
                agreement=_interval(
                    Estimates(others.shrunken, others.r, others.low, others.high), number, told
                ),
                repeatability=_figure(own.repeatability, number, told),
                second_pours=int(own.repeats[number]),
                discrimination_p=_figure(own.p, number, told),
                scale_used=_figure(used, number, told),
                infit=_figure(None if facet is None else facet.infit, number, told),
                outfit=_figure(None if facet is None else facet.outfit, number, told),
            )
        )
    return tuple(made)


def _homes(design: Design, wines: Floats) -> tuple[list[int], Floats]:
    """The site where each taster marked most, and the share of its wines that were marked."""
    if design.taster is None:
        return [], wines
    if design.site is None:
        return [0] * design.taster.size, wines / design.wine.size
    shape = (design.taster.size, design.site.size)
    met = np.zeros(shape)
    np.add.at(met, (design.taster.codes, design.site.codes), 1.0)
    homes = met.argmax(axis=1)
    poured = np.zeros((design.site.size, design.wine.size), dtype=np.bool_)
    poured[design.site.codes, design.wine.codes] = True
    return homes.tolist(), np.minimum(1.0, wines / poured.sum(axis=1)[homes])


def _used(given: Floats, taster: np.ndarray, tasters: int, scale: Scale | None) -> Floats | None:
    if scale is None or scale.top <= scale.lowest:
        return None
    low, high = np.full(tasters, np.inf), np.full(tasters, -np.inf)
    np.minimum.at(low, taster, given)
    np.maximum.at(high, taster, given)
    return np.asarray((high - low) / (scale.top - scale.lowest))


def _telling(fit: ScaleFit | None, number: int, apart: float) -> float | None:
    """Spread of the wines as this taster sees them over the noise of one mark."""
    if fit is None:
        return None
    return float(fit.spread.value[number] * apart / fit.noise.value[number])


def _interval(found: Estimates | None, number: int, told: bool) -> Interval | None:
    if found is None or not told or np.isnan(found.value[number]):
        return None
    return Interval(*(float(part[number]) for part in (found.value, found.low, found.high)))


def _figure(values: Floats | None, number: int, told: bool) -> float | None:
    if values is None or not told or not np.isfinite(values[number]):
        return None
    return float(values[number])
