"""The moments: one pass over the marks, after which the marks are no longer needed.

For each site, over the columns X̃ = [one per wine poured there | covariates | marks],

    A   = Σ X̃ᵀX̃                       over the site's marks
    B_k = Σ (X̃ᵀ1)(1ᵀX̃)                over the site's tasters with k marks each

are all that the criterion of tasters within sites needs.  Moments add: two halves of the
data, two machines, two years.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.design import Design

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

# Sites with more wines than this are better served by sparse sums (the crossed layout).
WIDEST = 200


@dataclass(frozen=True, slots=True)
class Block:
    """The moments of all sites that poured the same number w of wines.

    With d = w + q + m columns: `cells` (S, w) wine codes, `products` (S, d, d) is A,
    `counts` (K,) the numbers of marks that tasters gave, `tasters` (S, K) how many tasters
    gave so many, `sums` (S, K, d, d) is B.
    """

    sites: tuple[str, ...]
    cells: Codes
    products: Floats
    counts: Floats
    tasters: Floats
    sums: Floats


@dataclass(frozen=True, slots=True)
class Moments:
    """Everything that the estimate of tasters within sites needs to know of the marks.

    Columns of covariates and marks are centred: at `covariate_centres` (q,) and `centres` (m,).
    """

    wines: tuple[str, ...]
    covariate_names: tuple[str, ...]
    covariate_centres: Floats
    names: tuple[str, ...]
    centres: Floats
    marks: int
    blocks: tuple[Block, ...]

    @property
    def covariates(self) -> int:
        """The number of columns of covariates, q."""
        return len(self.covariate_names)

    def select(self, name: str) -> Moments:
        """The moments of one kind of mark only."""
        index = self.names.index(name)
        blocks = tuple(_select(block, len(self.names), index) for block in self.blocks)
        return Moments(
            self.wines,
            self.covariate_names,
            self.covariate_centres,
            (name,),
            self.centres[[index]],
            self.marks,
            blocks,
        )


@dataclass(frozen=True, slots=True)
class TasterSums:
    """Row sums of each taster: `site` (T,), `count` (T,), `cells` (T, w), `rest` (T, q + m).

    `cells` counts marks by the place of the wine among the site's wines.
    """

    site: Codes
    count: Floats
    cells: Floats
    rest: Floats


def _select(block: Block, responses: int, index: int) -> Block:
    width = block.products.shape[1]
    columns = [*range(width - responses), width - responses + index]
    grid = np.ix_(range(len(block.sites)), columns, columns)
    deep = np.ix_(range(len(block.sites)), range(block.counts.size), columns, columns)
    return Block(
        block.sites,
        block.cells,
        block.products[grid],
        block.counts,
        block.tasters,
        block.sums[deep],
    )


def moments_size(design: Design) -> float:
    """How many numbers the moments would hold; infinite when a site poured too many wines."""
    wines, extra = design.wine.size, len(design.covariates) + len(design.names)
    site = np.zeros(design.marks, dtype=np.int64) if design.site is None else design.site.codes
    sites = 1 if design.site is None else design.site.size
    width = _places(site, design.wine.codes, sites, wines).width
    counts = 1
    if design.taster is not None:
        counts = int(np.count_nonzero(np.bincount(np.bincount(design.taster.codes))))
    if int(width.max()) > WIDEST:
        return np.inf
    return float(((width + extra) ** 2).sum()) * (counts + 1)


def make_moments(design: Design) -> tuple[Moments, TasterSums]:
    """Moments of marks whose tasters each sit at one site.

    A design without sites counts as one site; one without tasters as one taster a mark.
    """
    marks = design.marks
    wine = design.wine.codes
    site = np.zeros(marks, dtype=np.int64) if design.site is None else design.site.codes
    site_labels = ('',) if design.site is None else design.site.labels
    taster = np.arange(marks) if design.taster is None else design.taster.codes
    tasters = marks if design.taster is None else design.taster.size
    rest = np.column_stack([*(c.values for c in design.covariates), design.responses])

    places = _places(site, wine, len(site_labels), design.wine.size)
    cell = places.of_mark(site, wine)
    sums = _taster_sums(site, taster, tasters, cell, places.widest, rest)
    blocks = tuple(
        _block(width, places, site, cell, rest, sums, site_labels)
        for width in np.unique(places.width).tolist()
    )
    moments = Moments(
        design.wine.labels,
        tuple(c.name if c.level is None else f'{c.name}={c.level}' for c in design.covariates),
        np.array([c.centre for c in design.covariates], dtype=np.float64),
        design.names,
        design.centres,
        marks,
        blocks,
    )
    return moments, sums


@dataclass(frozen=True, slots=True)
class _Places:
    """Which wines each site poured, and the place of each among them."""

    present: NDArray[np.bool_]
    rank: Codes
    width: Codes
    complete: bool

    @property
    def widest(self) -> int:
        return int(self.width.max())

    def of_mark(self, site: Codes, wine: Codes) -> Codes:
        return wine if self.complete else self.rank[site, wine]


def _places(site: Codes, wine: Codes, sites: int, wines: int) -> _Places:
    present = np.bincount(site * wines + wine, minlength=sites * wines) > 0
    present = present.reshape(sites, wines)
    rank = np.cumsum(present, axis=1) - 1
    return _Places(present, rank, present.sum(axis=1), bool(present.all()))


def _taster_sums(
    site: Codes, taster: Codes, tasters: int, cell: Codes, widest: int, rest: Floats
) -> TasterSums:
    counts = np.bincount(taster * widest + cell, minlength=tasters * widest)
    cells = counts.reshape(tasters, widest).astype(np.float64)
    home = np.zeros(tasters, dtype=np.int64)
    home[taster] = site
    columns = [
        np.bincount(taster, weights=rest[:, j], minlength=tasters) for j in range(rest.shape[1])
    ]
    return TasterSums(home, cells.sum(axis=1), cells, np.column_stack(columns))


def _block(
    width: int,
    places: _Places,
    site: Codes,
    cell: Codes,
    rest: Floats,
    sums: TasterSums,
    labels: tuple[str, ...],
) -> Block:
    chosen = np.flatnonzero(places.width == width)
    local = np.full(places.width.size, -1, dtype=np.int64)
    local[chosen] = np.arange(chosen.size)
    cells = np.nonzero(places.present[chosen])[1].reshape(chosen.size, width)
    if chosen.size == places.width.size:
        mine_site, mine_cell, mine_rest = site, cell, rest
    else:
        mine = local[site] >= 0
        mine_site, mine_cell, mine_rest = local[site[mine]], cell[mine], rest[mine]
    products = _products(mine_site, mine_cell, mine_rest, chosen.size, width)
    counts, tasters, taster_sums = _by_count(local, sums, chosen.size, width)
    return Block(
        tuple(labels[s] for s in chosen.tolist()), cells, products, counts, tasters, taster_sums
    )


def _products(site: Codes, cell: Codes, rest: Floats, sites: int, width: int) -> Floats:
    """A for each site, (S, d, d)."""
    others = rest.shape[1]
    made = np.zeros((sites, width + others, width + others))
    key = site * width + cell
    diagonal = np.arange(width)
    made[:, diagonal, diagonal] = np.bincount(key, minlength=sites * width).reshape(sites, width)
    for i in range(others):
        by_cell = np.bincount(key, weights=rest[:, i], minlength=sites * width)
        made[:, :width, width + i] = by_cell.reshape(sites, width)
        made[:, width + i, :width] = made[:, :width, width + i]
    made[:, width:, width:] = _squares(rest, site, sites)
    return made


def _squares(rows: Floats, group: Codes, groups: int) -> Floats:
    """XᵀX of the rows of each group, (groups, d, d)."""
    order = np.argsort(group, kind='stable')
    rows, group = rows[order], group[order]
    made = np.zeros((groups, rows.shape[1], rows.shape[1]))
    firsts = np.flatnonzero(np.diff(group, prepend=-1))
    for first, end in zip(firsts.tolist(), [*firsts[1:].tolist(), group.size], strict=False):
        made[group[first]] = rows[first:end].T @ rows[first:end]
    return made


def _by_count(
    local: Codes, sums: TasterSums, sites: int, width: int
) -> tuple[Floats, Floats, Floats]:
    """Numbers of marks (K,), tasters with so many (S, K), and B (S, K, d, d)."""
    home = local[sums.site]
    mine = np.flatnonzero((home >= 0) & (sums.count > 0))
    number = sums.count[mine].astype(np.int64)
    counts = np.flatnonzero(np.bincount(number))
    kind = np.searchsorted(counts, number)
    group = home[mine] * counts.size + kind
    rows = np.column_stack([sums.cells[mine, :width], sums.rest[mine]])
    made = _squares(rows, group, sites * counts.size)
    tasters = np.bincount(group, minlength=sites * counts.size).astype(np.float64)
    return (
        counts.astype(np.float64),
        tasters.reshape(sites, counts.size),
        made.reshape(sites, counts.size, *made.shape[1:]),
    )
