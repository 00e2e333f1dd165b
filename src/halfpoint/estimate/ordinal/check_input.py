"""What is refused before ordered steps are fitted, and the arrays that go on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import EstimateError, TooFewMarks
from halfpoint.estimate.ordinal.links import Link
from halfpoint.estimate.ordinal.rows import Rows
from halfpoint.estimate.ordinal.steps import Steps

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

MOST_NODES = 101
# A covariate of which less than this share is its own cannot be told from the others.
OWN = 1e-9


@dataclass(frozen=True, slots=True)
class Given:
    """Rows sorted by taster; codes of the random effects, tasters first, with their names.

    Where tasters are not `seen`, each row has one of its own whose spread stays at zero.
    `notes` says in words which effects the marks do not allow.
    """

    rows: Rows
    groups: tuple[Codes, ...]
    names: tuple[str, ...]
    nodes: int
    seen: bool
    tasters: int
    notes: tuple[str, ...]

    @property
    def shared(self) -> tuple[Codes, ...]:
        """Sites and bottles."""
        return self.groups[1:]


def check_given(
    steps: Steps,
    wine: Codes,
    taster: Codes | None,
    covariates: Floats | None,
    site: Codes | None,
    bottle: Codes | None,
    link: Link,
    nodes: int,
) -> Given:
    """Arrays that fit together, sorted by taster.

    Raises:
        TooFewMarks: one wine only.
        EstimateError: lengths that differ, gaps in codes, effects that cannot be told apart.
    """
    _check_options(link, nodes)
    count = steps.codes.size
    wine = _codes('wine', wine, count)
    wines = int(wine.max()) + 1
    if wines < 2:
        raise TooFewMarks(
            'there is one wine only',
            expected='marks of at least two wines',
            remedy='nothing can be compared yet',
        )
    given = _covariates(covariates, count)
    _refuse_confounded(given, wine, wines)
    whose = np.zeros(count, dtype=np.int64) if taster is None else _codes('taster', taster, count)
    size = int(whose.max()) + 1
    seen = taster is not None and 1 < size < count
    others = _others(site, bottle, count)
    effects = {'taster': whose if seen else np.arange(count), **others} if seen or others else {}
    order = np.argsort(whose, kind='stable')
    rows = Rows(link, steps.codes[order], steps.count, wine[order], wines, given[order])
    return Given(
        rows,
        tuple(codes[order] for codes in effects.values()),
        tuple(effects),
        nodes,
        seen,
        size,
        _unseen(size, count) if taster is not None else (),
    )


def _check_options(link: str, nodes: int) -> None:
    if link not in get_args(Link):
        raise EstimateError(f'the link "{link}" is not known', expected='logit or probit')
    if not 1 <= nodes <= MOST_NODES:
        raise EstimateError(f'{nodes} nodes were asked for', expected=f'1 to {MOST_NODES} nodes')


def _codes(name: str, codes: Codes, count: int) -> Codes:
    codes = np.asarray(codes)
    if codes.shape != (count,) or not np.issubdtype(codes.dtype, np.integer):
        raise EstimateError(
            f'{name} has the shape {codes.shape} and the type {codes.dtype}',
            expected=f'{count} whole numbers, one a mark',
        )
    if codes.min() < 0 or not np.bincount(codes).all():
        raise EstimateError(
            f'the codes of {name} have a gap',
            expected='codes from 0 up, each used at least once',
        )
    return codes.astype(np.int64)


def _covariates(covariates: Floats | None, count: int) -> Floats:
    if covariates is None:
        return np.zeros((count, 0))
    made = np.asarray(covariates, dtype=float).reshape(count, -1) if count else np.zeros((0, 0))
    if not np.isfinite(made).all():
        raise EstimateError('a covariate is missing or no number', where='--covariate')
    return made


def _refuse_confounded(covariates: Floats, wine: Codes, wines: int) -> None:
    """Refuse covariates that never vary within a wine, or that say the same."""
    if not covariates.shape[1]:
        return
    counts = np.bincount(wine, minlength=wines)
    within = covariates.copy()
    for column in within.T:
        column -= (np.bincount(wine, column, wines) / counts)[wine]
    scale = np.maximum(np.linalg.norm(covariates, axis=0), 1e-300)
    values = np.linalg.svd(within / scale, compute_uv=False)
    if values.size < covariates.shape[1] or float(values.min()) ** 2 < OWN:
        raise EstimateError(
            'a covariate cannot be told from the wines or from another covariate',
            where='--covariate',
            remedy='leave it out: it never varies within a wine',
        )


def _others(site: Codes | None, bottle: Codes | None, count: int) -> dict[str, Codes]:
    """Codes of sites and bottles, where given."""
    named = {'site': site, 'bottle': bottle}
    found = {name: _codes(name, codes, count) for name, codes in named.items() if codes is not None}
    for name, codes in found.items():
        levels = int(codes.max()) + 1
        if not 1 < levels < count:
            reason = 'has one level only' if levels < 2 else 'has one mark for each level'
            raise EstimateError(
                f'the effect "{name}" cannot be told from the rest: it {reason}',
                where='--effects',
                remedy='leave it out of --effects',
            )
    return found


def _unseen(tasters: int, marks: int) -> tuple[str, ...]:
    """Why tasters are not in the model, in words."""
    if tasters == 1:
        return ('All marks are by one taster, whose severity shifts every wine alike.',)
    if tasters == marks:
        return ('Nobody marked twice, so severity cannot be told from chance.',)
    return ()
