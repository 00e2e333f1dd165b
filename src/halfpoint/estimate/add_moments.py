"""Moments add: two halves of the data, two machines, two years.

Each half is centred at its own means.  Every mark belongs to exactly one wine, so a column
moved by c is that column less c times all columns of wines: with T the identity but −c in
the rows of the wines, A' = TᵀAT and B' = TᵀBT.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import EstimateError
from halfpoint.estimate.moments import Block, Moments

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]


def add_moments(a: Moments, b: Moments) -> Moments:
    """Moments of the marks of both; no taster may be in both, sites and wines may.

    Centres become the means over all marks.  Sites and wines are known by their labels.

    Raises:
        EstimateError: the two were not made of the same kinds of marks and covariates.
    """
    if a.names != b.names or a.covariate_names != b.covariate_names:
        raise EstimateError(
            f'moments of {_named(a)} cannot be added to moments of {_named(b)}',
            expected='the same marks and covariates in both',
        )
    marks = a.marks + b.marks
    centres = (a.marks * _centres(a) + b.marks * _centres(b)) / marks
    wines = tuple(sorted({*a.wines, *b.wines}))
    sites: dict[str, _Site] = {}
    for part in (a, b):
        for site in _sites(part, wines, centres - _centres(part)):
            known = sites.get(site.label)
            sites[site.label] = site if known is None else _together(known, site)
    return Moments(
        wines,
        a.covariate_names,
        centres[: a.covariates],
        a.names,
        centres[a.covariates :],
        marks,
        _blocks([sites[label] for label in sorted(sites)]),
    )


def _named(moments: Moments) -> str:
    return ', '.join((*moments.names, *moments.covariate_names))


def _centres(moments: Moments) -> Floats:
    return np.concatenate([moments.covariate_centres, moments.centres])


@dataclass(frozen=True, slots=True)
class _Site:
    """One site.

    `cells` (w,) are its wines, `products` (d, d) is A; `by_count` gives for each number of
    marks how many tasters gave so many, and their B (d, d).
    """

    label: str
    cells: Codes
    products: Floats
    by_count: dict[float, tuple[float, Floats]]


def _sites(moments: Moments, wines: Sequence[str], shift: Floats) -> Iterator[_Site]:
    """Every site, its wines numbered among `wines` and its columns moved by `shift`."""
    number = {label: code for code, label in enumerate(wines)}
    codes = np.array([number[label] for label in moments.wines], dtype=np.int64)
    for block in moments.blocks:
        width = block.cells.shape[1]
        move = np.eye(width + shift.size)
        move[:width, width:] -= shift
        for row, label in enumerate(block.sites):
            yield _Site(
                label,
                codes[block.cells[row]],
                move.T @ block.products[row] @ move,
                {
                    count: (block.tasters[row, k], move.T @ block.sums[row, k] @ move)
                    for k, count in enumerate(block.counts.tolist())
                    if block.tasters[row, k]
                },
            )


def _together(one: _Site, other: _Site) -> _Site:
    """Two lots of tasters at the same site, whose wines may differ."""
    cells = np.union1d(one.cells, other.cells)
    one, other = _widened(one, cells), _widened(other, cells)
    by_count = dict(one.by_count)
    for count, (tasters, sums) in other.by_count.items():
        before, known = by_count.get(count, (0.0, np.zeros_like(sums)))
        by_count[count] = (before + tasters, known + sums)
    return _Site(one.label, cells, one.products + other.products, by_count)


def _widened(site: _Site, cells: Codes) -> _Site:
    """The same site with columns for wines that it did not pour."""
    others = site.products.shape[0] - site.cells.size
    place = np.concatenate(
        [np.searchsorted(cells, site.cells), np.arange(cells.size, cells.size + others)]
    )

    def wide(matrix: Floats) -> Floats:
        made = np.zeros((cells.size + others, cells.size + others))
        made[np.ix_(place, place)] = matrix
        return made

    by_count = {count: (n, wide(sums)) for count, (n, sums) in site.by_count.items()}
    return _Site(site.label, cells, wide(site.products), by_count)


def _blocks(sites: Sequence[_Site]) -> tuple[Block, ...]:
    """Sites with equally many wines go together."""
    widths = sorted({site.cells.size for site in sites})
    return tuple(_block([site for site in sites if site.cells.size == width]) for width in widths)


def _block(sites: Sequence[_Site]) -> Block:
    counts = sorted({count for site in sites for count in site.by_count})
    none = (0.0, np.zeros_like(sites[0].products))
    kept = [[site.by_count.get(count, none) for count in counts] for site in sites]
    return Block(
        sites=tuple(site.label for site in sites),
        cells=np.stack([site.cells for site in sites]),
        products=np.stack([site.products for site in sites]),
        counts=np.array(counts),
        tasters=np.array([[tasters for tasters, _ in row] for row in kept]),
        sums=np.array([[sums for _, sums in row] for row in kept]),
    )
