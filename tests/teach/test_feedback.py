"""What is said after each wine."""

from __future__ import annotations

from tests.teach.sample_practice import SHEET, WINES, entry, result

from halfpoint.teach.feedback import feed_back
from halfpoint.teach.reference import reference_of

REFERENCE = reference_of(result(), SHEET, 'result.json')
LIKE_THE_PANEL = [3.0, 5.0, 5.0, 2.5, 1.5]


def test_a_mark_where_the_panel_is_has_no_driver() -> None:
    """By hand: 16.6 ± 1.96 √(0.2² + 0.4²) is 15.7 to 17.5, and 17 lies within."""
    found = feed_back(entry(WINES[0], LIKE_THE_PANEL), SHEET, REFERENCE)
    assert found.total is not None
    assert (15.7, 17.5) == (round(found.total.low, 1), round(found.total.high, 1))
    assert found.driver is None
    assert found.sentences[0].endswith("That is where the panel is.")


def test_the_category_that_drives_the_gap_is_named() -> None:
    """Aroma two points below the panel makes most of the gap."""
    found = feed_back(entry(WINES[0], [3.0, 3.0, 5.0, 2.5, 1.5]), SHEET, REFERENCE)
    assert found.driver is not None
    assert 'aroma' == found.driver.key
    assert "Most of it is aroma: you gave 3, the panel 5.0." in found.sentences[1]


def test_a_little_of_several_names_none() -> None:
    """Half a point in each category is nobody's doing."""
    marks = [2.5, 4.5, 4.5, 2.0, 1.0]
    found = feed_back(entry(WINES[0], marks), SHEET, REFERENCE)
    assert found.driver is None
    assert "a little of several" in found.sentences[1]


def test_aromas_are_shared_missed_or_ones_own() -> None:
    """Terms the panel often ticked are shared or missed; others are the learner's alone."""
    found = feed_back(entry(WINES[0], LIKE_THE_PANEL, terms=['lemon', 'pear']), SHEET, REFERENCE)
    assert (('lemon',), ('hay',), ('pear',)) == (found.shared, found.missed, found.own_alone)
    assert "Others also found hay: smell again with this in mind." in found.sentences
    assert "Pear is yours alone, and may well be there." in found.sentences


def test_withheld_aromas_are_not_spoken_of() -> None:
    """Where the panel's terms are withheld nothing is called missed or one's own."""
    found = feed_back(entry(WINES[2], LIKE_THE_PANEL, terms=['lemon']), SHEET, REFERENCE)
    assert ((), (), ()) == (found.shared, found.missed, found.own_alone)


def test_a_wine_without_a_reference_is_not_judged() -> None:
    """Without a reference, or with one that lacks the wine, nothing is high or low."""
    mine = entry("My aunt's red", LIKE_THE_PANEL)
    for reference, why in ((None, "no panel to compare with"), (REFERENCE, "did not have this")):
        found = feed_back(mine, SHEET, reference)
        assert found.total is None
        assert why in found.sentences[0]
        assert "nothing is said of whether 17 is high or low" in found.sentences[0]


def test_a_bottle_with_a_fault_is_not_held_against_the_learner() -> None:
    """A ticked fault is told beside the marks, with what becomes of them."""
    found = feed_back(
        entry(WINES[0], [1.5, 2.0, 2.0, 1.0, 0.5], faults=['corked']), SHEET, REFERENCE
    )
    assert "its marks are kept and not counted" in found.sentences[-1]
