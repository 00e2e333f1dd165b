"""How the bench of paper scores a page, on pages made by hand."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binom

from halfpoint.collect.paper.print.identity import PERSONAL, Identity
from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.print.pages import Glass, Page
from halfpoint.collect.paper.read.model import HeldPage, Look, PageReading, PourReading
from halfpoint.demo.paper import BlockTruth, BoxTruth, Filled, RowTruth, draw_writer
from halfpoint.sheet.load import load_sheet

# Last, since some benches have the names of libraries.
sys.path.append(str(Path(__file__).parents[2] / 'bench'))

from measure.paper_lines import Lines
from measure.paper_mix import SHARES, group_of, style_of
from measure.paper_score import PageScore, score_page
from measure.paper_sums import ALL, added_up, calibration, upper_bound

SHEET = load_sheet('twenty-point')
IDENTITY = Identity(PERSONAL, 4, 'bench', 's0', 1, 1, 1, 'form', ('481',))
PAGE = Page(IDENTITY, "Room", "Seat 1", "Table 1", '', "Sheet 1", (Glass('1', '481'),))
ROWS = (
    RowTruth('appearance', 2.5, 'clean', clean=True),
    RowTruth('aroma', 4.0, 'clean', clean=True),
    RowTruth('taste', None, 'double', clean=False),
)
BOXES = (
    BoxTruth('fault', 'corked', ticked=True, clean=True, how='cross'),
    BoxTruth('band', 'long', ticked=False, clean=True),
)
AREA = Rectangle(0, 0, 1, 1)


def filled(*rows: RowTruth, boxes: tuple[BoxTruth, ...] = BOXES, total: str = '') -> Filled:
    """A page of one wine."""
    block = BlockTruth(1, rows or ROWS, boxes, total, '', tasted=True, code='481')
    writer = draw_writer(np.random.default_rng(1))
    return Filled(np.zeros((1, 1), np.uint8), (block,), writer, 254.0, PAGE)


POUR = PourReading(
    place=1,
    code='481',
    position=1,
    marks={'appearance': 2.5, 'aroma': 4.0, 'taste': None},
    confidence={'appearance': 0.999, 'aroma': 0.999},
    faults=('corked',),
    looks=(Look('taste', 'two', AREA),),
)


def reading(pour: PourReading = POUR, payload: str = IDENTITY.payload) -> PageReading:
    """The page as read, with one pour."""
    return PageReading(payload, 's0', 1, 1, 1, 4, '', (pour,))


def scored(pour: PourReading = POUR, of: Filled | None = None) -> PageScore:
    """The score of one pour, on an ordinary scan."""
    return score_page(1, 'scan-200', of or filled(), reading(pour), SHEET)


def counts(score: PageScore, what: str) -> tuple[int, int, int, int]:
    """Accepted, wrong, clean, and clean ones sent to a person."""
    tally = score.marks if what == 'marks' else score.boxes
    return tally.accepted, tally.wrong, tally.clean, tally.clean_sent


def test_a_page_read_right() -> None:
    """What stands is accepted, what has a look is not, and nothing is wrong."""
    found = scored()
    assert (2, 0, 2, 0) == counts(found, 'marks')
    assert (2, 0, 2, 0) == counts(found, 'boxes')
    assert {'rows': 1} == found.looks
    assert {'3.00': (2, 2)} == found.confidences


def test_another_value_is_wrong() -> None:
    """A mark half a point off counts as wrong and is listed, also against its confidence."""
    found = scored(replace(POUR, marks={**POUR.marks, 'aroma': 4.5}))
    assert (2, 1, 2, 0) == counts(found, 'marks')
    assert [('aroma', 4.5, 4.0)] == [(each.field, each.read, each.truth) for each in found.wrongs]
    assert {'3.00': (2, 1)} == found.confidences


def test_nothing_is_right_where_two_are_marked() -> None:
    """Either of two marks accepted is wrong, and so is a line of two taken for an empty one."""
    confidence = {**POUR.confidence, 'taste': 0.9}
    taken = replace(POUR, marks={**POUR.marks, 'taste': 4.0}, confidence=confidence, looks=())
    assert 1 == scored(taken).marks.wrong
    nothing = dict.fromkeys(POUR.marks)
    empty = replace(POUR, marks=nothing, confidence={}, faults=(), looks=(), is_empty=True)
    assert 3 == scored(empty).marks.wrong


def test_an_empty_wine_is_accepted_as_empty() -> None:
    """Blank lines of a wine read as empty are accepted and right, a tick that it hides is wrong."""
    blank = [replace(row, value=None, kind='blank', clean=False) for row in ROWS]
    empty = replace(POUR, marks=dict.fromkeys(POUR.marks), looks=(), is_empty=True)
    found = scored(empty, filled(*blank))
    assert (3, 0, 0, 0) == counts(found, 'marks')
    assert (2, 1, 2, 0) == counts(found, 'boxes')


def test_a_clean_line_left_open_goes_to_a_person() -> None:
    """Nothing read on a clean line is neither accepted nor wrong, with a look or without."""
    for looks in ((), (Look('aroma', 'faint', AREA),)):
        found = scored(replace(POUR, marks={**POUR.marks, 'aroma': None}, looks=looks))
        assert (1, 0, 2, 1) == counts(found, 'marks')


def test_a_box_is_wrong_unless_looked_at() -> None:
    """A tick missed or invented is wrong; a look at that very box takes it out."""
    ticked = replace(POUR, faults=(), finish_band='long')
    assert 2 == scored(ticked).boxes.wrong
    looks = (*POUR.looks, Look('band', 'two', AREA, 'long'))
    assert (1, 1, 2, 1) == counts(scored(replace(ticked, looks=looks)), 'boxes')


@pytest.mark.parametrize(('total', 'true'), [('6½', 0), ('6,5', 0), ('7.5', 1), ('', 0)])
def test_a_look_at_a_total(total: str, true: int) -> None:
    """A look at a total is a true one only where the written number is not the sum."""
    doubted = replace(POUR, looks=(Look('total', 'total', AREA),))
    found = scored(doubted, filled(total=total))
    assert {'totals': 1} == found.looks
    assert true == found.true_totals


def test_a_held_page_sends_all_to_a_person() -> None:
    """All clean lines and boxes of a held page go to a person, and nothing is accepted."""
    held = HeldPage('no-code', "no code", "a code", "scan again")
    found = score_page(1, 'scan-200', filled(), held, SHEET)
    assert 'no-code' == found.held
    assert (0, 0, 2, 2) == counts(found, 'marks')


def test_other_digits_or_codes_are_another_page() -> None:
    """Other digits, or the right digits with another code, are a wrong identity."""
    assert not scored().wrong_identity
    assert scored(replace(POUR, code='482')).wrong_identity
    other = reading(payload='1' * 24)
    assert score_page(1, 'scan-200', filled(), other, SHEET).wrong_identity


def test_the_bound_is_that_of_clopper_and_pearson() -> None:
    """So few wrong have a chance of 5 % at the bound: its definition, by SciPy's binomial."""
    for wrong, number in ((0, 1000), (3, 1000), (0, 300_000)):
        assert pytest.approx(0.05, rel=1e-6) == binom.cdf(wrong, number, upper_bound(wrong, number))
    assert 1.0 == upper_bound(0, 0)


def test_styles_come_in_the_shares_meant() -> None:
    """Of 4,000 seeds each group has its share, to within four standard errors."""
    groups = [group_of(style_of(seed)) for seed in range(4_000)]
    for group, share in SHARES.items():
        error = (share * (1 - share) / 4_000) ** 0.5
        assert pytest.approx(share, abs=4 * error) == groups.count(group) / 4_000


def test_confidences_of_many_pages_add_up() -> None:
    """Marks of like confidence are one bin, with how many were wrong."""
    wrong = scored(replace(POUR, marks={**POUR.marks, 'aroma': 4.5}))
    (only,) = calibration([scored(), wrong])
    assert (4, 1) == (only.marks, only.wrong)
    assert pytest.approx(0.001) == only.doubt
    assert 2 == added_up([scored(), wrong])[ALL].pages


def test_a_stopped_run_goes_on(tmp_path: Path) -> None:
    """A last line torn in the middle is cut off, and what was written whole comes back."""
    path = tmp_path / 'run.jsonl'
    Lines(path, resume=False).append(scored())
    whole = path.read_bytes()
    path.write_bytes(whole + whole[:40])
    assert [scored()] == list(Lines(path, resume=True))
    assert [] == list(Lines(path, resume=False))
