"""What a page is decided from: targets, ink in them, the pen and the strokes."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import ndimage
from tests.collect.paper.read.pages import BLACK_PEN, Written, filled, middles, room, steady

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.ink.marking import Marking
from halfpoint.collect.paper.read.ink.targets import targets_of
from halfpoint.collect.paper.read.read_page import PageReader
from halfpoint.collect.paper.read.scale import COARSE, MARGIN
from halfpoint.collect.paper.read.source import Picture
from halfpoint.demo.paper import Pen


def watched(page: Written) -> Marking:
    """What the reader saw on a page."""
    seen: list[Marking] = []
    keep: Callable[[Marking], object] = seen.append
    made = page.room
    PageReader(made.planned, made.tasting, keep).read(Picture(page.image, bilevel=False))
    return seen[0]


@pytest.mark.parametrize('glasses', [1, 3, 4])
def test_every_bubble_and_box_is_a_target_once(glasses: int) -> None:
    """Run by run, in the order of the layout, with what each bubble adds."""
    blocks = room().layout.blocks[:glasses]
    targets = targets_of(room().layout, glasses)
    bubbles = [bubble for block in blocks for row in block.rows for bubble in row.bubbles]
    assert [(b.centre.x, b.centre.y) for b in bubbles] == [tuple(c) for c in targets.centres]
    assert [b.diameter for b in bubbles] == targets.diameters.tolist()
    assert [b.adds for b in bubbles] == [adds for run in targets.runs for adds in run.adds]
    boxes = [(block.place, box) for block in blocks for box in block.boxes]
    assert boxes == list(targets.boxes)
    assert len(boxes) == len(targets.corners)
    starts = np.cumsum([0, *(run.count for run in targets.runs)])
    assert starts[:-1].tolist() == [run.first for run in targets.runs]
    assert len(bubbles) == starts[-1]


def test_lines_of_two_runs_are_two_targets() -> None:
    """Coarse and fine circles are decided by themselves."""
    layout = room('hundred-point', 3).layout
    targets = targets_of(layout, 1)
    parts = [
        (row.category, part)
        for row in layout.blocks[0].rows
        for part in dict.fromkeys(bubble.part for bubble in row.bubbles)
    ]
    assert parts == [(run.row.category, run.part) for run in targets.runs]


def test_marked_bubbles_have_ink_and_others_none() -> None:
    """Every filled bubble stands out of all empty ones by far."""
    page = filled(room())
    marking = watched(page)
    targets = targets_of(room().layout, 4)
    marked = [
        run.first + run.adds.index(middles(room(), run.place)[run.row.category])
        for run in targets.runs
    ]
    empty = np.setdiff1d(np.arange(len(targets.centres)), marked)
    assert marking.amounts.bubbles[marked].min() > 0.4
    assert np.abs(marking.amounts.bubbles[empty]).max() < 0.05
    assert np.abs(marking.amounts.boxes).max() < 0.05


def test_a_light_pen_is_known_as_light() -> None:
    """How dark a pen draws is told by the page it wrote; on an empty page it is unknown."""
    pencil = Pen('hard pencil', 0.6, 0.4, 0.5, 0.5, 0.0, 0.1)
    darkness = []
    for pen in (BLACK_PEN, pencil):
        page = Written(room(), writer=steady(pen))
        for place in range(1, 5):
            page.marks(place, middles(room(), place))
        pen_seen = watched(page).pen
        assert pen_seen.is_known
        darkness.append(pen_seen.dark)
    assert darkness[0] > 0.8
    assert darkness[1] < 0.6 * darkness[0]
    assert not watched(Written(room())).pen.is_known


def test_a_line_on_bare_paper_is_one_stroke_of_its_size() -> None:
    """A bar of 12 by 1 mm in the remark box: its place to 0.4 mm, its size to a third."""
    # SciPy, labelling all ink there, counts one piece as well.
    page = filled(room())
    area = next(w.area for w in page.block(2).write_ins if w.kind == 'remark')
    bar = Rectangle(area.left + 20, area.top + area.height / 2 - 0.5, 12, 1)
    page.paint(bar, 60, around=0)
    strokes = watched(page).strokes
    rows, columns = (
        slice(round((low - 1 + MARGIN) * COARSE), round((high + 1 + MARGIN) * COARSE))
        for low, high in ((bar.top, bar.bottom), (bar.left, bar.right))
    )
    part = strokes.labels[rows, columns]
    assert 1 == ndimage.label(part > 0, np.ones((3, 3)))[1]
    (number,) = set(np.unique(part)) - {0}
    edges = (bar.left, bar.top, bar.right, bar.bottom)
    assert np.abs(strokes.boxes[number] - edges).max() < 0.4
    assert strokes.areas[number] == pytest.approx(12, rel=1 / 3)


def test_an_unmarked_page_has_no_strokes() -> None:
    """What is printed is no ink, neither circles nor boxes nor words."""
    strokes = watched(Written(room())).strokes
    for block in room().layout.blocks:
        for row in block.rows:
            first, last = (row.bubbles[at].centre for at in (0, -1))
            line = Rectangle(first.x - 3, first.y - 2.5, last.x - first.x + 6, 5)
            assert 0 == strokes.within(line).max()
        for box in block.boxes:
            assert 0 == strokes.within(box.area).max()
            assert 0 == strokes.within(box.label.area).max()
