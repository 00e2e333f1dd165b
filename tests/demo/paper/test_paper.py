"""Simulated score sheets: the same from the same seed, and true to what was meant."""

from __future__ import annotations

import ast
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest
import zxingcpp
from tests.collect.paper.print.made import invented

import halfpoint.demo.paper
from halfpoint.collect.paper.print import Layout, lay_out
from halfpoint.demo.paper import (
    GOOD,
    STYLES,
    BlockTruth,
    Filled,
    Raster,
    Writer,
    blanks,
    draw_writer,
    fill,
    photograph,
    rates,
    scan,
    simulate,
)
from halfpoint.demo.paper.camera import Roll, aimed
from halfpoint.demo.paper.curves import through
from halfpoint.demo.paper.hostile import HOSTILE, hostile
from halfpoint.demo.paper.letters import DIGITS, written
from halfpoint.demo.paper.rows import CLEAN, circles_of, draw_event
from halfpoint.demo.paper.writer import Pen, pick
from halfpoint.plan.make import make_plan
from halfpoint.sheet.form import Sheet

Made = tuple[Sheet, Layout, tuple[Raster, ...]]


@cache
def made(name: str = 'twenty-point', wines: int = 4, scale: float = 8.0) -> Made:
    """A sheet, its layout, and three blank pages, the last a spare."""
    tasting = invented(name)
    layout = lay_out(tasting.sheet, wines)
    plan = make_plan(tasting, seed=1)
    return tasting.sheet, layout, blanks(tasting, plan, layout, count=2, spares=1, scale=scale)


def filled_in(seed: int, writer: Writer | None = None) -> tuple[Filled, Raster]:
    """A page that this writer, or anybody, filled in."""
    sheet, layout, pages = made()
    rng = np.random.default_rng(seed)
    return fill(rng, layout, pages[0], sheet, writer or draw_writer(rng)), pages[0]


def plain_writer(pen: str = 'black gel', mark: str = 'fill') -> Writer:
    """A steady hand that marks where it means to."""
    rng = np.random.default_rng(7)
    pens = {'black gel': Pen(pen, 0.1, 0.5, 0.95, 0.0, 0.0, 0.0)}
    given = pens.get(pen, Pen(pen, 0.4, 0.6, 0.6, 0.6, 0.0, 0.2))
    return replace(
        draw_writer(rng), pen=given, mark=mark, lean=(0.0, 0.0), spread=0.1, tremor=0.02,
        size=1.0, dense=0.9, same_value=False, writes_total=True, half='½', rings_words=False,
    )  # fmt: skip


def darkening(filled: Filled, blank: Raster, x: float, y: float, radius: float) -> float:
    """How much darker a round place of the frame is than in print, in grey levels."""
    at_x, at_y = (x + blank.origin.x) * blank.scale, (y + blank.origin.y) * blank.scale
    reach = radius * blank.scale
    top, left = int(at_y - reach), int(at_x - reach)
    part = slice(top, int(at_y + reach) + 2), slice(left, int(at_x + reach) + 2)
    printed, page = blank.image[part], filled.image[part]
    rows, columns = np.ogrid[: page.shape[0], : page.shape[1]]
    inside = (columns + left - at_x) ** 2 + (rows + top - at_y) ** 2 < reach**2
    return float(printed[inside].mean() - page[inside].mean())


def test_imports_nothing_of_the_reader() -> None:
    """The simulator knows the printed sheet, never how it is read."""
    folder = Path(halfpoint.demo.paper.__file__).parent
    imported = {
        node.module
        for file in folder.glob('*.py')
        for node in ast.walk(ast.parse(file.read_text(encoding='utf-8')))
        if isinstance(node, ast.ImportFrom) and node.module
    }
    assert 'halfpoint.collect.paper.print.layout' in imported
    assert set() == {name for name in imported if name.startswith('halfpoint.collect.paper.read')}


@pytest.mark.parametrize('style', ['scan-200', 'photo-2mp', 'scan-150-stained'])
def test_same_seed_gives_the_same_bytes(style: str) -> None:
    """A page is its seed and style; another seed is another page."""
    sheet, layout, pages = made()
    first, again, other = (simulate(seed, layout, pages, sheet, style) for seed in (3, 3, 4))
    assert first[1].encoded == again[1].encoded
    assert first[0].blocks == again[0].blocks
    assert first[1].encoded != other[1].encoded


@pytest.mark.parametrize('style', sorted(STYLES))
def test_every_style_has_its_size(style: str) -> None:
    """Scans have the paper's size at their resolution, photographs the sensor's."""
    sheet, layout, pages = made()
    filled, taken = simulate(5, layout, pages, sheet, style)
    how = STYLES[style]
    inches = (np.array(filled.image.shape) / filled.dpi).round(4)
    wanted = (
        np.round(inches * how.detail) if how.device == 'scan' else (how.detail, how.detail * 3 / 4)
    )
    assert taken.image.dtype == np.uint8
    assert sorted(taken.image.shape) == pytest.approx(sorted(wanted), abs=1)
    assert taken.good == (style in GOOD)
    assert taken.good == (not how.damage)


def test_marked_circles_are_darker_than_printed() -> None:
    """On clean lines of a steady hand the circle that was meant, and no other, gained ink."""
    _, layout, _ = made()
    seen = 0
    for seed in range(4):
        filled, blank = filled_in(seed, plain_writer())
        for block, truth in zip(layout.blocks, filled.blocks, strict=False):
            for row, meant in zip(block.rows, truth.rows, strict=True):
                if meant.clean and meant.value is not None:
                    gains = [
                        darkening(filled, blank, b.centre.x, b.centre.y, 1.3) for b in row.bubbles
                    ]
                    values = [b.adds for b in row.bubbles]
                    assert meant.value == values[int(np.argmax(gains))]
                    assert max(gains) > 60
                    seen += 1
    assert seen > 40


def test_empty_boxes_gain_no_ink_and_ticked_ones_do() -> None:
    """What the truth says of clean boxes can be seen."""
    _, layout, _ = made()
    writer = replace(plain_writer(), box_mark='cross', ticks=0.3)
    filled, blank = filled_in(1, writer)
    gains: dict[bool, list[float]] = {True: [], False: []}
    for block, truth in zip(layout.blocks, filled.blocks, strict=False):
        for box, meant in zip(block.boxes, truth.boxes, strict=True):
            assert (box.kind, box.key) == (meant.kind, meant.key)
            if meant.clean:
                x, y = box.area.left + box.area.width / 2, box.area.top + box.area.height / 2
                gains[meant.ticked].append(darkening(filled, blank, x, y, 1.2))
    assert min(gains[True]) > 10
    assert max(gains[False]) < 2


def test_events_happen_as_often_as_stated() -> None:
    """Over 40,000 lines each event is near its stated rate, and only pencils are erased."""
    rng = np.random.default_rng(1)
    pencil = plain_writer('soft pencil')
    drawn = Counter(draw_event(rng, pencil) for _ in range(40_000))
    for event, rate in rates.ROW_EVENTS.items():
        assert drawn[event] / 40_000 == pytest.approx(rate, abs=4 * (rate / 40_000) ** 0.5)
    assert drawn[CLEAN] > 0.95 * 40_000
    ink = Counter(draw_event(rng, plain_writer()) for _ in range(5_000))
    assert 0 == ink['erased']
    assert ink['corrected'] > 0


@pytest.mark.parametrize('shares', [rates.PENS, rates.MARKS, rates.BOX_MARKS, rates.STRIKES])
def test_choices_are_drawn_by_their_shares(shares: dict[str, float]) -> None:
    """Shares add up to one, and are what is drawn."""
    rng = np.random.default_rng(2)
    drawn = Counter(pick(rng, shares) for _ in range(8_000))
    assert sum(shares.values()) == pytest.approx(1)
    for name, share in shares.items():
        assert drawn[name] / 8_000 == pytest.approx(share, abs=0.02)


def test_boxes_are_ticked_as_often_as_stated() -> None:
    """About one aroma or fault box in ten."""
    ticked = [
        box.ticked
        for seed in range(40)
        for block in filled_in(seed)[0].blocks
        for box in block.boxes
        if block.tasted and box.kind != 'band'
    ]
    assert np.mean(ticked) == pytest.approx(rates.TICKED, abs=0.03)


def test_written_totals_are_sums_but_for_a_few() -> None:
    """A written total is the sum of the marks, and seldom not."""
    blocks = [block for seed in range(30) for block in filled_in(seed, plain_writer())[0].blocks]
    told = [block for block in blocks if block.tasted]
    right = [block.total == written(_sum(block), '½') for block in told]
    assert 0.9 < np.mean(right) <= 1.0


def _sum(block: BlockTruth) -> float:
    return sum(row.value or 0.0 for row in block.rows)


def test_tails_into_other_lines_make_them_unclean() -> None:
    """A tick so long that it crosses the line above takes away that line's cleanness."""
    long, short = (replace(plain_writer(mark='tick'), tail=tail) for tail in (8.0, 2.0))
    clean = [
        sum(row.clean for block in filled_in(3, writer)[0].blocks for row in block.rows)
        for writer in (long, short)
    ]
    assert clean[0] < clean[1]


def test_spares_get_a_code_by_hand_and_own_sheets_keep_theirs() -> None:
    """The code of a glass is in the truth, printed or written."""
    sheet, layout, pages = made()
    rng = np.random.default_rng(4)
    own, spare = (fill(rng, layout, page, sheet, plain_writer()) for page in pages[1:])
    assert [g.code for g in pages[1].page.glasses] == [block.code for block in own.blocks]
    assert spare.page.is_spare
    assert all(len(block.code) == 3 for block in spare.blocks if block.tasted)


def test_two_runs_of_circles_add_up() -> None:
    """Where a mark is told by two circles, they add up to it."""
    _, layout, _ = made('hundred-point', 3)
    row = next(row for row in layout.blocks[0].rows if row.bubbles[0].part == 'coarse')
    for value in (0.0, 7.0, 13.0):
        assert value == sum(b.adds for b in circles_of(row, value))


def test_other_sheets_are_filled_in_too() -> None:
    """A sheet of another shape is filled in from its layout alone."""
    sheet, layout, pages = made('hundred-point', 3)
    filled, taken = simulate(2, layout, pages, sheet, 'scan-150')
    assert [row.category for row in layout.blocks[0].rows] == [
        row.category for row in filled.blocks[0].rows
    ]
    assert taken.image.std() > 10


@pytest.mark.parametrize(
    ('number', 'half', 'text'),
    [(16.5, '½', '16½'), (0.5, '.5', '.5'), (7.25, '½', '7.25'), (12, ',5', '12'),
     (-1.5, '½', '-1½'), (0, '½', '0')],
)  # fmt: skip
def test_numbers_are_written_as_people_do(number: float, half: str, text: str) -> None:
    """Halves in the writer's way, other parts as decimals; every character can be drawn."""
    assert text == written(number, half)
    assert set(text) <= {*DIGITS, '½'}


def test_codes_of_good_scans_can_be_read_by_an_independent_decoder() -> None:
    """ZXing reads the payload off simulated scans."""
    sheet, layout, pages = made()
    for seed in range(3):
        filled, taken = simulate(seed, layout, pages, sheet, 'scan-200')
        found = {code.text for code in zxingcpp.read_barcodes(taken.image)}
        assert {filled.page.identity.payload} == found


def test_camera_goes_there_and_back() -> None:
    """On a bent sheet, the place that a pixel shows is seen at that pixel."""
    rng = np.random.default_rng(6)
    roll = Roll.drawn(rng, (210.0, 297.0), 8.0, 0.5)
    camera = aimed(rng, (1200, 1600), (210.0, 297.0), roll, tilt=0.3, spin=0.1, share=0.9)
    u, v = np.meshgrid(np.linspace(5, 205, 9), np.linspace(5, 290, 9))
    back_u, back_v = camera.page(*camera.seen(u, v))
    assert np.abs(back_u - u).max() < 0.05
    assert np.abs(back_v - v).max() < 0.05


def test_flat_sheet_seen_from_straight_above_is_a_scaled_sheet() -> None:
    """Without bend, tilt and spin the camera only scales (similar triangles)."""
    rng = np.random.default_rng(6)
    roll = Roll.drawn(rng, (210.0, 297.0), 0.0, 0.0)
    camera = aimed(rng, (1200, 1600), (210.0, 297.0), roll, tilt=0.0, spin=0.0, share=0.9)
    x, y = camera.seen(np.array([0.0, 210.0]), np.array([0.0, 297.0]))
    scale = 0.9 * 1600 / 297
    assert (x[1] - x[0], y[1] - y[0]) == pytest.approx((210 * scale, 297 * scale), rel=1e-3)


def test_curves_pass_through_their_points() -> None:
    """A hand's line goes through each point that it was given."""
    points = [(0.0, 0.0), (1.0, 2.0), (3.0, 1.0)]
    line = through(points, 6)
    for point in points:
        assert np.hypot(*(line - point).T).min() < 1e-9


def test_pencil_shows_grain_where_gel_is_even() -> None:
    """Within a mark, pencil varies from place to place much more than gel ink does."""
    _, layout, _ = made()
    spreads = []
    for pen in ('soft pencil', 'black gel'):
        filled, blank = filled_in(2, plain_writer(pen))
        row, truth = layout.blocks[0].rows[1], filled.blocks[0].rows[1]
        at = circles_of(row, truth.value or 0)[0].centre
        x, y = (round((c + o) * 8) for c, o in ((at.x, blank.origin.x), (at.y, blank.origin.y)))
        spreads.append(filled.image[y - 6 : y + 6, x - 6 : x + 6].std())
    assert spreads[0] > 1.5 * spreads[1]


@pytest.mark.parametrize('kind', sorted(HOSTILE))
def test_hostile_pages_are_what_they_say(kind: str) -> None:
    """Each can be made, is never called good, and its codes are gone where they should be."""
    sheet, layout, pages = made()
    filled, taken = hostile(1, layout, pages, sheet, kind)
    found = {code.text for code in zxingcpp.read_barcodes(taken.image)}
    assert not taken.good
    if kind in {'both codes destroyed', 'glare over codes', 'empty paper'}:
        assert set() == found
    if kind == 'upside down':
        assert {filled.page.identity.payload} == found
    if kind == 'black and white':
        assert {0, 255} == set(np.unique(taken.image).tolist())


def test_three_corners_gone_leaves_one_marker() -> None:
    """OpenCV finds one corner marker at most."""
    sheet, layout, pages = made()
    taken = hostile(2, layout, pages, sheet, 'three corners gone')[1]
    kept = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    found = cv2.aruco.ArucoDetector(kept).detectMarkers(taken.image)[1]
    ours = set() if found is None else {int(k) for k in found.ravel()} & {0, 1, 2, 3}
    assert len(ours) <= 1


def test_scanning_and_photographing_take_a_page_as_given() -> None:
    """The two ways of taking can be called by themselves."""
    filled, _ = filled_in(8)
    rng = np.random.default_rng(8)
    assert 'scan-150' == scan(rng, filled, 'scan-150').kind
    assert 'photo-2mp' == photograph(rng, filled, 'photo-2mp').kind
