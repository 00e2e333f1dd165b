"""A second look at pages from paper, as a person would say it."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.publish.sample import sample

from halfpoint.estimate.findings import AuditFinding
from halfpoint.publish.export import to_json
from halfpoint.publish.paper_words import second_look_in_words, share_in_words
from halfpoint.publish.report.compose import composed

# 1 - 0.05^(1/n), the exact bound when nothing of n is wrong.
AUDIT = AuditFinding(30, 2400, 9000, 0, 1, 0.95, 1 - 0.05 ** (1 / 2400), 0.000527)


def plain(text: str) -> str:
    """Every kind of space as a space."""
    return ' '.join(text.split())


def test_the_bound_is_said_as_people_say_it() -> None:
    """How many were looked at, how many were wrong, and what that bounds."""
    said = plain(second_look_in_words(AUDIT))

    assert (
        "Of 2,400 marks from paper looked at a second time, 0 were wrong: "
        "with 95 % confidence fewer than 1 in 800 is. "
        "Of 9,000 boxes looked at a second time, 1 was wrong: "
        "with 95 % confidence fewer than 1 in 1,800 is."
    ) == said


def test_a_sheet_without_boxes_says_nothing_of_them() -> None:
    """And one mark is a mark."""
    said = plain(second_look_in_words(replace(AUDIT, marks=1, boxes=0, marks_below=0.95)))
    assert (
        "Of 1 mark looked at a second time, 0 were wrong: with 95 % confidence fewer than 95 % is."
    ) == said
    assert "no mark taken unseen" in second_look_in_words(replace(AUDIT, marks=0, boxes=0))


@pytest.mark.parametrize(
    ('share', 'said'),
    [(1.0, '100 %'), (0.5, '50 %'), (0.1, '10 %'), (0.0999, '1 in 10'), (0.003, '1 in 330'),
     (1e-6, '1 in 1,000,000'), (2.9957e-5, '1 in 33,000')],
)  # fmt: skip
def test_shares_in_words(share: float, said: str) -> None:
    """Two figures; in per cent when it is many."""
    assert said == plain(share_in_words(share))


@given(st.floats(1e-9, 1.0))
def test_a_bound_is_never_said_to_be_smaller_than_it_is(share: float) -> None:
    """Rounding goes upwards, and by less than a tenth."""
    said = plain(share_in_words(share))
    told = (
        Fraction(1, int(said.removeprefix('1 in ').replace(',', '')))
        if said.startswith('1 in ')
        else Fraction(int(said.removesuffix(' %')), 100)
    )
    assert share * (1 - 1e-9) <= told <= share * 1.101


def test_the_report_says_it_where_there_was_one() -> None:
    """With the work referred to; without a second look neither."""
    without, told = (
        [text for block in composed(replace(sample(), audit=audit), 'a4')['blocks']
         for text in (block.get('text', ''), *block.get('items', ())) if isinstance(text, str)]
        for audit in (None, AUDIT)
    )  # fmt: skip
    more = ' '.join(text for text in told if text not in without)

    assert second_look_in_words(AUDIT) in more
    assert "30 pages were drawn at random" in plain(more)
    assert "Clopper, C. J. & Pearson" in more
    assert not any("Clopper" in text for text in without)


def test_the_json_has_it() -> None:
    """Counts and bounds; null without a second look."""
    assert json.loads(to_json(sample()))['audit'] is None
    read = json.loads(to_json(replace(sample(), audit=AUDIT)))['audit']
    assert (2400, 0, 0.95) == (read['marks'], read['wrong_marks'], read['confidence'])
