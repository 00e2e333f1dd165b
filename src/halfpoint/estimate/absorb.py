"""Taking random effects out of the sums: the one piece of algebra behind every layout.

Write X̃ for the columns still carried along (fixed effects and marks), V for the
covariance of the marks over σ², and Z for the columns of one or several random effects
with prior covariance G over σ².  With M = X̃ᵀV⁻¹X̃ known, adding the effect,
V' = V + ZGZᵀ where Z is among the columns of X̃, gives

    H    = I + G½ M_zz G½            K = G½ H⁻¹ G½
    M'   = M − M_xz K M_zx           log|V'| = log|V| + log|H|

and, for each effect i already absorbed, with N_i = X̃ᵀV⁻¹Z_iZ_iᵀV⁻¹X̃ and t_i = tr(V⁻¹Z_iZ_iᵀ),

    N_i' = QᵀN_iQ,  Q = I − E_z K M_zx        t_i' = t_i − tr(K N_i,zz).

This is the Woodbury identity; no matrix the size of the marks is ever made, and a variance
of exactly zero needs no special case because G½ is never inverted.
Reference: Bates, Mächler, Bolker and Walker (2015), J. Stat. Softw. 67(1), section 3.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Below this variance ratio the short formulas that divide by it lose digits.
SMALL_RATIO = 1e-7
# Up to this size NumPy's own inverse is quick enough.
SMALL_MATRIX = 64


@dataclass(frozen=True, slots=True)
class Reduced:
    """The marks with every random effect taken out, at one set of variance ratios.

    `gram` (d, d) is X̃ᵀV⁻¹X̃ with the fixed effects first and the mark last; `traces` (k,)
    and `slopes` (k, d, d) hold tr(V⁻¹ZᵢZᵢᵀ) and X̃ᵀV⁻¹ZᵢZᵢᵀV⁻¹X̃ for each effect;
    `logdet` is log|V|.
    """

    logdet: float
    gram: Floats
    traces: Floats
    slopes: Floats


@dataclass(frozen=True, slots=True)
class Absorbed:
    """What `absorb` gives: the reduced sums, and what predictions need.

    `gain` (r, r) is K; `pull` (r, d) is K M_zx, so that predicted effects are
    `pull @ (-β̂, 1)`.
    """

    reduced: Reduced
    gain: Floats
    pull: Floats


def inverse_and_logdet(matrix: Floats) -> tuple[Floats, float]:
    """Inverse and log-determinant of a symmetric positive definite matrix (r, r).

    Raises:
        numpy.linalg.LinAlgError: when the matrix is not positive definite.
    """
    if matrix.shape[0] == 0:
        return matrix.copy(), 0.0
    if matrix.shape[0] <= SMALL_MATRIX:
        root = np.linalg.cholesky(matrix)
        return np.asarray(np.linalg.inv(matrix), dtype=np.float64), 2.0 * float(
            np.log(np.diagonal(root)).sum()
        )
    # SciPy's linear algebra takes a while to import, and small tastings do without it.
    from scipy.linalg import lapack  # noqa: PLC0415

    factor, failed = lapack.dpotrf(matrix, lower=1, clean=1)
    if failed:
        raise np.linalg.LinAlgError('not positive definite')
    logdet = 2.0 * float(np.log(np.diagonal(factor)).sum())
    inverse, failed = lapack.dpotri(factor, lower=1)
    if failed:
        raise np.linalg.LinAlgError('not positive definite')
    # Above the diagonal stand zeros, so the sum is the whole with its diagonal doubled.
    whole = inverse + inverse.T
    whole[np.diag_indices(whole.shape[0])] *= 0.5
    return whole, logdet


def absorb(
    before: Reduced,
    columns: NDArray[np.intp],
    ratios: Floats,
    groups: tuple[NDArray[np.intp], ...],
    keep: Floats,
) -> Absorbed:
    """Absorb the effects that own `columns` of `before.gram`.

    Args:
        before: sums over D columns with k effects absorbed.
        columns: (r,) which of the D columns belong to the effects to absorb, ascending.
        ratios: (r,) prior variance over σ² of each of those columns.
        groups: for each new effect, positions within `columns`.
        keep: (D, d) the columns to carry on, as combinations of the old ones.

    Returns:
        Sums over d columns with k + len(groups) effects absorbed, the old ones first.
    """
    gram = before.gram
    root = np.sqrt(ratios)
    part = _square(columns)
    own = gram[part]
    kept = gram @ keep
    inverse, logdet = inverse_and_logdet(np.eye(columns.size) + root[:, None] * own * root)
    gain = root[:, None] * inverse * root
    pull = gain @ kept[columns]
    filtered = keep.copy()
    filtered[columns] -= pull
    news = [_new_effect(group, ratios, own, inverse, gain, pull, kept[columns]) for group in groups]
    old_traces = [
        trace - float(np.vdot(gain, slope[part]))
        for trace, slope in zip(before.traces, before.slopes, strict=True)
    ]
    reduced = Reduced(
        logdet=before.logdet + logdet,
        gram=keep.T @ kept - kept[columns].T @ pull,
        traces=np.array([*old_traces, *(trace for trace, _ in news)]),
        slopes=np.array(
            [filtered.T @ (slope @ filtered) for slope in before.slopes]
            + [slope for _, slope in news]
        ).reshape(-1, keep.shape[1], keep.shape[1]),
    )
    return Absorbed(reduced, gain, pull)


def _square(columns: NDArray[np.intp]) -> tuple[slice, slice] | tuple[NDArray[np.intp], ...]:
    """Index of the block of some columns: without copying where they are neighbours."""
    if columns.size and columns[-1] - columns[0] + 1 == columns.size:
        run = slice(int(columns[0]), int(columns[-1]) + 1)
        return run, run
    return np.ix_(columns, columns)


def _new_effect(
    group: NDArray[np.intp],
    ratios: Floats,
    own: Floats,
    inverse: Floats,
    gain: Floats,
    pull: Floats,
    kept: Floats,
) -> tuple[float, Floats]:
    """Trace and slope of an effect just absorbed: tr(S_gg) and S_gxᵀS_gx, S = ZᵀV'⁻¹X̃."""
    if group.size == 0:
        return 0.0, np.zeros((kept.shape[1], kept.shape[1]))
    ratio = ratios[group[0]]
    if ratio > SMALL_RATIO:
        part = pull[group] / ratio
        trace = float((1.0 - np.diagonal(inverse)[group]).sum() / ratio)
    else:
        part = kept[group] - own[group] @ pull
        through = own[group] @ gain
        trace = float(np.diagonal(own)[group].sum() - np.vdot(through, own[group]))
    return trace, part.T @ part
