"""The spoiled bottle: one site's bottle of a wine that falls further out than bottles do.

A bottle is suspected when it lies below what its wine, its site and its tasters lead to expect by
more than bottles of one wine usually differ. Each suspect is fitted with a shift of its own, so
that it does not widen the spread of bottles it is held against. It is only a suggestion: the
organiser sets aside, with a reason, or does not.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtrc, ndtr, stdtr, stdtrit

from halfpoint.estimate.chances import benjamini_hochberg, exact_more
from halfpoint.estimate.design import Covariate, Design
from halfpoint.estimate.findings import FaultTicks, SuspectBottle
from halfpoint.estimate.moments import make_moments
from halfpoint.estimate.weigh import Fit, Weighing, fit_one

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

FALSE_SHARE = 0.05
# Of the chance to suspect a sound bottle, the part spent on marks alone where faults were ticked.
ON_MARKS = 0.25
LEAST_OF_TOP = 0.05  # 1 point of 20
# In standard errors: bottles less far out than this are nobody's suspects.
WORTH_A_FIT = -1.5
MOST_FITS = 12


def suspect_bottles(
    fit: Fit, faulty: Bools | None = None, *, top: float | None = None
) -> tuple[SuspectBottle, ...]:
    """The bottles that lie lowest against expectation, most suspect first; empty without bottles.

    Args:
        fit: the main estimate of one kind of mark, bottles among its effects.
        faulty: whether each mark's entry ticked a fault, shape (marks,), rows as in the design.
        top: highest mark; a twentieth of it is the least shift that is suggested (1 point of 20).

    The shift is the generalised least squares estimate of one bottle's own mean, with variances
    fitted beside it, against t with Satterthwaite's freedom, one-sided: the mean-shift test for
    one outlying effect (Cook, Holschuh and Weisberg 1982, Technometrics 24, 167-170). Fault ticks
    join by Fisher's combination, and the better of marks alone and both together counts, weighted
    as `ON_MARKS` says (Rosenthal and Rubin 1983, Psychological Bulletin 94, 540-541).
    Benjamini and Hochberg (1995), J. R. Statist. Soc. B 57, 289-300.
    """
    found = fit.predictions.bottles
    design = fit.weighing.design
    if found is None or design.site is None or not found.effect.any():
        return ()
    variance = fit.reml.variances()['bottle']
    out = found.effect / np.sqrt(np.maximum(variance - np.square(found.se), 1e-12))
    p_marks = ndtr(out)
    suspects = [int(i) for i in np.argsort(out)[:MOST_FITS] if out[i] < WORTH_A_FIT]
    shifts = {i: _shift(fit, _cell(design, found.site[i], found.wine[i])) for i in suspects}
    for i, shift in shifts.items():
        p_marks[i] = shift.p
    ticks = [
        _faults(design, faulty, site, wine)
        for site, wine in zip(found.site, found.wine, strict=True)
    ]
    p = np.array([_joined(*pair) for pair in zip(p_marks, ticks, strict=True)])
    adjusted = benjamini_hochberg(p)
    least = LEAST_OF_TOP * (20.0 if top is None else top)
    made = [
        SuspectBottle(
            site=design.site.labels[found.site[i]],
            wine=design.wine.labels[found.wine[i]],
            shift=shift.estimate,
            se=shift.se,
            df=shift.df,
            low=shift.estimate - shift.reach,
            high=shift.estimate + shift.reach,
            marks=shift.marks,
            p_marks=shift.p,
            faults=ticks[i],
            p=float(p[i]),
            p_adjusted=float(adjusted[i]),
            suggested=bool(adjusted[i] <= FALSE_SHARE and shift.estimate <= -least),
        )
        for i, shift in shifts.items()
    ]
    return tuple(sorted(made, key=lambda bottle: (not bottle.suggested, bottle.p)))


@dataclass(frozen=True, slots=True)
class _Shift:
    estimate: float
    se: float
    df: float
    p: float
    reach: float
    marks: int


def _cell(design: Design, site: int, wine: int) -> Bools:
    codes = design.site.codes if design.site is not None else np.zeros(design.marks)
    return np.asarray((codes == site) & (design.wine.codes == wine))


def _shift(fit: Fit, here: Bools) -> _Shift:
    """How far these marks lie off, fitted as a shift of their own."""
    design = fit.weighing.design
    share = float(here.mean())
    own = Covariate('this bottle', None, here.astype(np.float64) - share, share)
    wider = replace(design, covariates=(*design.covariates, own))
    moments, sums = make_moments(wider) if fit.weighing.moments is not None else (None, None)
    refit = fit_one(Weighing(wider, fit.form, moments, sums), fit.column)
    se, df = (float(part[-1]) for part in refit.scores.each())
    estimate = float(refit.scores.estimates[-1])
    p = float(stdtr(df, estimate / se)) if se > 0.0 else float(estimate >= 0.0)
    return _Shift(estimate, se, df, p, float(stdtrit(df, 0.975)) * se, int(here.sum()))


def _faults(design: Design, faulty: Bools | None, site: int, wine: int) -> FaultTicks | None:
    """One-sided exact test of faults ticked here against elsewhere, same wine (Fisher 1935)."""
    if faulty is None or not faulty.any():
        return None
    of_wine = design.wine.codes == wine
    here = _cell(design, site, wine)
    counts = (int((faulty & here).sum()), int(here.sum()))
    total = (int((faulty & of_wine).sum()), int(of_wine.sum()))
    p = exact_more(counts[0], counts[1], total[0], total[1])
    return FaultTicks(*counts, total[0] - counts[0], total[1] - counts[1], p)


def _joined(p_marks: float, faults: FaultTicks | None) -> float:
    if faults is None:
        return p_marks
    both = -2.0 * (np.log(max(p_marks, 1e-300)) + np.log(max(faults.p, 1e-300)))
    return float(min(1.0, p_marks / ON_MARKS, chdtrc(4, both) / (1.0 - ON_MARKS)))
