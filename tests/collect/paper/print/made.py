"""Score sheets and tastings to print in tests, and everything that stands on a layout."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from hypothesis import strategies as st

from halfpoint.collect.paper.print.layout import Block, Bubble, Layout, Rectangle, Ruler
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.load import load_sheet
from halfpoint.tasting.model import Site, Taster, Tasting, Wine
from halfpoint.tasting.planning import Planning

SCALES = ((0, 3, 0.5), (0, 6, 0.5), (0, 25, 1), (1, 9, 1), (0, 5, 0.25), (0, 100, 1), (-2, 2, 0.5))
WORDS = ("lime", "Green and leafy", "Dried and cooked fruit", "x" * 60, "Ωμέγα", "東京")


def invented(sheet: str = 'twenty-point', *, seats: int = 2, wines: int = 6) -> Tasting:
    """A small tasting of two sites, one taster's name mixing scripts."""
    return Tasting(
        key='spring',
        title="Spring round of the Tallow league",
        invented=True,
        sheet=load_sheet(sheet),
        wines=tuple(Wine(key=f'w{n}', name=f"Zq Ossel {n}") for n in range(wines)),
        sites=(Site(key='north', name="North room"), Site(key='south', name="Salle Éloi")),
        tasters=(Taster(key='ada', name="Ανδρέας Тихий", site='south'),),
        plan=Planning(seats=seats, capacity=max(2, wines)),
        ledger=Path('spring.ledger'),
        source=Path('spring.toml'),
    )


@st.composite
def sheets(draw: st.DrawFn) -> Sheet:
    """Score sheets of many shapes, some of which do not fit on paper."""
    scales = draw(st.lists(st.sampled_from(SCALES), min_size=1, max_size=8))
    families = draw(st.lists(st.integers(1, 7), max_size=9))
    label = st.sampled_from(WORDS)
    finish = [
        {'label': 'short', 'from_seconds': 0, 'to_seconds': 15},
        {'label': 'long', 'from_seconds': 40},
    ]
    return Sheet.model_validate(
        {
            'key': 'own',
            'label': 'Own',
            'category': [
                {'key': f'c{n}', 'label': draw(label), 'lowest': low, 'top': top, 'step': step}
                for n, (low, top, step) in enumerate(scales)
            ],
            'family': [
                {
                    'key': f'f{n}',
                    'label': draw(label),
                    'terms': [{'key': f't{n}-{k}', 'label': draw(label)} for k in range(count)],
                }
                for n, count in enumerate(families)
            ],
            'fault': [
                {'key': f'x{n}', 'label': draw(label)} for n in range(draw(st.integers(0, 14)))
            ],
            'finish': finish if draw(st.booleans()) else [],
        }
    )


def around(bubble: Bubble) -> Rectangle:
    """The square around a bubble."""
    half = bubble.diameter / 2
    return Rectangle(
        bubble.centre.x - half, bubble.centre.y - half, bubble.diameter, bubble.diameter
    )


def grown(area: Rectangle, by: float) -> Rectangle:
    """A rectangle with so much more on every side."""
    return Rectangle(area.left - by, area.top - by, area.width + 2 * by, area.height + 2 * by)


def _ruler(ruler: Ruler) -> Rectangle:
    return Rectangle(ruler.left, ruler.y, ruler.right - ruler.left, 0.7)


def everything(layout: Layout) -> Iterator[tuple[str, Rectangle]]:
    """Every printed element with its name; codes with the white that they need."""
    for fiducial in layout.fiducials:
        yield f'marker {fiducial.marker}', fiducial.area
    for number, mark in enumerate(layout.side_marks):
        yield f'side {number}', mark
    for code in layout.codes:
        yield code.kind, grown(code.area, code.quiet)
    for name in ('title', 'site', 'taster', 'seat', 'table', 'page', 'identity', 'invented'):
        yield name, getattr(layout.head, name)
    for number, words in enumerate(layout.words):
        yield f'words {number}', words.area
    for block in layout.blocks:
        for name, area in (*_rows(block), *_choices(block)):
            yield f'glass {block.place} {name}', area


def _rows(block: Block) -> Iterator[tuple[str, Rectangle]]:
    yield 'number', block.number
    yield 'code', block.code
    for row in block.rows:
        yield row.category, row.label.area
        yield from ((f'{row.category} {b.part} {b.text}', around(b)) for b in row.bubbles)
        yield from ((f'{row.category} ruler {r.left}', _ruler(r)) for r in row.rulers)
        if row.plus:
            yield f'{row.category} plus', row.plus.area


def _choices(block: Block) -> Iterator[tuple[str, Rectangle]]:
    for box in block.boxes:
        yield f'box {box.key}', box.area
        yield f'label {box.key}', box.label.area
    for written in block.write_ins:
        yield written.kind, written.area
        yield from ((f'{written.kind} {w.text}', w.area) for w in written.labels)
    yield from ((title.text, title.area) for title in block.titles)
