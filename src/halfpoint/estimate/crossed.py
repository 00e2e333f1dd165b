"""Any random effects: one is taken out taster by taster, the rest in one dense factorisation.

The effect with the most levels (usually the tasters) is eliminated as in the nested layout:
M = A − Σ_f φ/(1+n_fφ) T_fᵀT_f over its levels f, where T_f are row sums over all columns.
The columns are [levels of the other effects | fixed effects | mark].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from halfpoint.errors import EstimateError
from halfpoint.estimate.absorb import Absorbed, Reduced, absorb
from halfpoint.estimate.design import Design, Factor
from halfpoint.estimate.recent import Recent

Floats = NDArray[np.float64]

# Dense columns beyond this many would need more memory than a laptop has.
MOST_COLUMNS = 12_000
# Results with more columns than this are not remembered.
MOST_REMEMBERED = 2_500
# Up to this many products of row sums are kept and reweighed; beyond, sparse products are made.
MOST_PAIRS = 40_000_000


class CrossedLayout:
    """Evaluates the sums for random effects that cross, wines fixed or random.

    Args:
        design: marks as arrays.
        response: (n,) the marks of one kind, centred.
        effects: random effects in the order of the ratios (wines last when random).
        random_wines: whether wines are random.
    """

    def __init__(
        self,
        design: Design,
        response: Floats,
        effects: tuple[Factor, ...],
        *,
        random_wines: bool,
    ) -> None:
        self.random_wines = random_wines
        self.factors = (*effects, design.wine) if random_wines else effects
        self.effects = tuple(f.name for f in effects) + (('wine',) if random_wines else ())
        self.marks = design.marks
        # Wines stay among the columns, because their predictions are wanted in full.
        self.eliminated = _largest(effects)
        self._others = [i for i in range(len(self.factors)) if i != self.eliminated]
        self.offsets = _offsets([self.factors[i].size for i in self._others])
        columns = _columns(design, response, [self.factors[i] for i in self._others], random_wines)
        if columns.shape[1] > MOST_COLUMNS:
            raise EstimateError(
                f'{columns.shape[1]} levels of crossed effects are too many',
                where='--effects',
                expected=f'at most {MOST_COLUMNS} besides the largest',
                remedy='leave out the effect with the most levels',
            )
        self._products = (columns.T @ columns).toarray()
        self._set_up_sums(columns)
        self._bottle = next((f for f in self.factors if f.name == 'bottle'), None)
        self._design = design
        self._fixed = columns.shape[1] - self.offsets[-1]
        # The centre and both sides of every ratio; large ones would take too much memory.
        kept = 2 * len(self.effects) + 2 if columns.shape[1] <= MOST_REMEMBERED else 1
        self._recent = Recent(self._absorb_anew, kept)

    def _set_up_sums(self, columns: sparse.csr_array) -> None:
        if self.eliminated < 0:
            self._counts = np.zeros(0)
            self._rows = columns[:0]
        else:
            chosen = self.factors[self.eliminated]
            member = sparse.csr_array(
                (np.ones(self.marks), (chosen.codes, np.arange(self.marks))),
                shape=(chosen.size, self.marks),
            )
            self._counts = np.bincount(chosen.codes, minlength=chosen.size).astype(float)
            self._rows = sparse.csr_array(member @ columns)
        self._pairs = _pairs(self._rows, self._counts)

    def evaluate(self, ratios: Floats) -> Reduced:
        """Sums with every random effect taken out, at variance ratios (k,)."""
        return self.absorb_all(ratios).reduced

    def absorb_all(self, ratios: Floats) -> Absorbed:
        """The same, with what predictions need."""
        return self._recent(ratios)

    def _absorb_anew(self, ratios: Floats) -> Absorbed:
        first = self._eliminate(ratios[self.eliminated] if self.eliminated >= 0 else 0.0)
        width = first.gram.shape[0]
        random = self.offsets[-1]
        if random == 0:
            return Absorbed(first, np.zeros((0, 0)), np.zeros((0, width)))
        keep = np.zeros((width, self._fixed))
        keep[random:] = np.eye(self._fixed)
        groups = tuple(
            np.arange(start, stop)
            for start, stop in zip(self.offsets[:-1], self.offsets[1:], strict=True)
        )
        each = np.zeros(random)
        for group, other in zip(groups, self._others, strict=True):
            each[group] = ratios[other]
        done = absorb(first, np.arange(random), each, groups, keep)
        return Absorbed(self._in_order(done.reduced), done.gain, done.pull)

    def wine_part(self, ratios: Floats) -> tuple[Reduced, Floats, Floats]:
        """For random wines: the sums, K over wines (p, p) and K M_zx of wines (p, d)."""
        done = self.absorb_all(ratios)
        wines = self.columns_of(len(self.factors) - 1)
        return done.reduced, done.gain[wines, wines], done.pull[wines]

    @property
    def bottle_codes(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Site and wine code of each bottle, in the order of the effect's levels."""
        if self._bottle is None or self._design.site is None:
            return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
        _, first = np.unique(self._bottle.codes, return_index=True)
        return self._design.site.codes[first], self._design.wine.codes[first]

    def taster_level(self, ratio: float) -> Floats:
        """Shrinkage 1/(1+nφ) of each level of the eliminated effect, (F,)."""
        return 1.0 / (1.0 + self._counts * ratio)

    @property
    def row_sums(self) -> sparse.csr_array:
        """(F, D) sums of every column over the marks of each eliminated level."""
        return self._rows

    def columns_of(self, effect: int) -> slice:
        """Where the levels of effect number `effect`, which is not eliminated, stand."""
        at = self._others.index(effect)
        return slice(int(self.offsets[at]), int(self.offsets[at + 1]))

    def _in_order(self, reduced: Reduced) -> Reduced:
        """The eliminated effect came first; put every effect where its ratio stands."""
        if self.eliminated < 0:
            return reduced
        order = np.argsort([self.eliminated, *self._others])
        return Reduced(reduced.logdet, reduced.gram, reduced.traces[order], reduced.slopes[order])

    def _eliminate(self, ratio: float) -> Reduced:
        if self.eliminated < 0:
            width = self._products.shape[0]
            return Reduced(0.0, self._products, np.zeros(0), np.zeros((0, width, width)))
        shrink = 1.0 + self._counts * ratio
        taken, between = self._weighted(np.column_stack([ratio / shrink, shrink**-2]))
        gram = self._products - taken
        trace = float((self._counts / shrink).sum())
        return Reduced(float(np.log(shrink).sum()), gram, np.array([trace]), between[None])

    def _weighted(self, weights: Floats) -> tuple[Floats, ...]:
        """Σ_f weight_f T_fᵀT_f, dense (D, D), for each column of weights (F, c)."""
        width = self._products.shape[0]
        if self._pairs is None:
            return tuple(
                np.asarray((self._rows.T @ (self._rows * column[:, None])).toarray())
                for column in weights.T
            )
        sums = self._pairs.by_count @ weights[self._pairs.first]
        return tuple(_symmetric(self._pairs.cell, column, width) for column in sums.T)


def _symmetric(cell: NDArray[np.int64], value: Floats, width: int) -> Floats:
    """A symmetric matrix from the cells of its upper triangle."""
    upper = np.zeros(width * width)
    upper[cell] = value
    whole = upper.reshape(width, width)
    whole = whole + whole.T
    whole[np.diag_indices(width)] *= 0.5
    return whole


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Products of row sums, added up over levels with the same number of marks.

    `cell` (u,) flat upper-triangular cells, `by_count` (u, K) sparse sums for each of the K
    numbers of marks, `first` (K,) a level with that number.
    """

    cell: NDArray[np.int64]
    by_count: sparse.csr_array
    first: NDArray[np.int64]


def _largest(factors: tuple[Factor, ...]) -> int:
    return int(np.argmax([f.size for f in factors])) if factors else -1


def _offsets(sizes: list[int]) -> NDArray[np.int64]:
    return np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)


def _columns(
    design: Design, response: Floats, others: list[Factor], random_wines: bool
) -> sparse.csr_array:
    """All columns X̃ (n, D), sparse."""
    marks = design.marks
    rows = np.arange(marks)
    parts = [_indicators(f) for f in others]
    if random_wines:
        parts.append(sparse.csr_array(np.ones((marks, 1))))
    else:
        parts.append(_indicators(design.wine))
    parts += [sparse.csr_array(c.values[:, None]) for c in design.covariates]
    parts.append(sparse.csr_array((response, (rows, np.zeros(marks, int))), shape=(marks, 1)))
    return sparse.csr_array(sparse.hstack(parts, format='csr'))


def _indicators(f: Factor) -> sparse.csr_array:
    marks = f.codes.size
    return sparse.csr_array((np.ones(marks), (np.arange(marks), f.codes)), shape=(marks, f.size))


def _pairs(rows: sparse.csr_array, counts: Floats) -> _Pairs | None:
    """The products of row sums of every level, or None if they are too many to keep."""
    lengths = np.diff(rows.indptr).astype(np.int64)
    if int((lengths**2).sum()) > MOST_PAIRS:
        return None
    width = rows.shape[1]
    rows.sort_indices()
    left = np.repeat(np.arange(lengths.sum()), np.repeat(lengths, lengths))
    starts = np.repeat(rows.indptr[:-1].astype(np.int64), lengths**2)
    within = np.arange(left.size) - np.repeat(np.cumsum(lengths**2) - lengths**2, lengths**2)
    right = starts + within % np.repeat(lengths, lengths**2)
    _, first, kind = np.unique(counts, return_index=True, return_inverse=True)
    of_pair = np.repeat(kind, lengths**2)
    upper = rows.indices[left] <= rows.indices[right]
    left, right, of_pair = left[upper], right[upper], of_pair[upper]
    flat = rows.indices[left].astype(np.int64) * width + rows.indices[right]
    met = np.bincount(flat, minlength=width * width) > 0
    place = (np.cumsum(met) - 1)[flat]
    cell = np.flatnonzero(met)
    by_count = sparse.coo_array(
        (rows.data[left] * rows.data[right], (place, of_pair)), shape=(cell.size, first.size)
    )
    return _Pairs(cell, sparse.csr_array(by_count), first)
