"""The few kinds of block a report is made of; `report.typ` sets each of them."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Future
from typing import Any

Block = dict[str, Any]


def heading(text: str, level: int = 1) -> Block:
    """A heading."""
    return {'kind': 'heading', 'text': text, 'level': level}


def lead(text: str) -> Block:
    """The finding, set large."""
    return {'kind': 'lead', 'text': text}


def paragraph(text: str, soft: bool = False) -> Block:
    """A paragraph; `soft` for what explains rather than tells."""
    return {'kind': 'paragraph', 'text': text, 'soft': soft}


def notes_below(notes: Sequence[str]) -> list[Block]:
    """What has to be known of a page's figures, small at its end."""
    return [paragraph(' '.join(notes), soft=True)] if notes else []


def bullets(items: Sequence[str]) -> Block:
    """A list of short lines."""
    return {'kind': 'bullets', 'items': list(items)}


def figures(items: Sequence[tuple[str, str, str]]) -> Block:
    """Cards side by side: what it is, the figure, its unit."""
    return {'kind': 'figures', 'items': [list(item) for item in items]}


def picture(svg: Future[str], alt: str, caption: str = '', card: bool = True) -> Block:
    """A chart on its way; `alt` says in words what it shows."""
    return {'kind': 'picture', 'svg': svg, 'alt': alt, 'caption': caption, 'card': card}


def table(
    columns: Sequence[tuple[str, str, str]],
    rows: Sequence[Sequence[str]],
    size: float = 8.5,
    *,
    tight: bool = False,
) -> Block:
    """A table; a column is (title, 'left' | 'right' | 'center', 'auto' | '1fr' | …).

    A cell that begins with U+0002 is set bold; `tight` rows stand close.
    """
    return {
        'kind': 'table',
        'titles': [title for title, _, _ in columns],
        'aligns': [align for _, align, _ in columns],
        'widths': [width for _, _, width in columns],
        'rows': [list(row) for row in rows],
        'size': size,
        'tight': tight,
    }


def formula(effects: Sequence[str], random_wines: bool, covariates: bool) -> Block:
    """The model as a formula, with the terms it was fitted with."""
    return {
        'kind': 'formula',
        'effects': list(effects),
        'random_wines': random_wines,
        'covariates': covariates,
    }


def references(items: Sequence[str]) -> Block:
    """Works referred to."""
    return {'kind': 'references', 'items': list(items)}


def new_page() -> Block:
    """What follows begins on a new page."""
    return {'kind': 'new-page'}


def side_by_side(left: Sequence[Block], right: Sequence[Block]) -> Block:
    """Two columns of equal width; pictures in them are drawn `HALF` wide."""
    return {'kind': 'columns', 'columns': [list(left), list(right)]}
