"""The finding as a person would say it."""

from __future__ import annotations

import dataclasses
import re
from functools import cache
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.publish.sample import NAMES, disconnected, mark_findings, sample

from halfpoint.estimate.findings import (
    ComponentFinding,
    CovariateFinding,
    Findings,
    MarkFindings,
    PairFinding,
    WineTest,
)
from halfpoint.publish import words
from halfpoint.publish.standing import tiers


@cache
def in_order(names: str) -> MarkFindings:
    """Wines a point apart, best first."""
    scores = {name: 16.0 - place for place, name in enumerate(names)}
    marks = mark_findings('total', 'Total', 20.0, scores)
    wines = tuple(dataclasses.replace(w, raw_mean=scores[w.wine]) for w in marks.wines)
    return dataclasses.replace(marks, wines=wines)


def judged(
    names: str, told: set[str], test_p: float = 1e-6, p_best: float | None = None
) -> MarkFindings:
    """Wines in this order, best first, with `told` naming the pairs told apart."""
    marks = in_order(names)
    scores = {wine.wine: wine.raw_mean for wine in marks.wines}
    pairs = tuple(
        PairFinding(a, b, scores[a] - scores[b], 0.3, 99.0, 0.01, p, -1.0, 1.0)
        for a, b in combinations(names, 2)
        for p in [0.001 if {a + b, b + a} & told else 0.05]
    )
    wines = (
        marks.wines
        if p_best is None
        else tuple(dataclasses.replace(w, p_best=p_best) for w in marks.wines)
    )
    return dataclasses.replace(
        marks, pairs=pairs, wines=wines, wine_test=WineTest(9.0, 4, 90, test_p)
    )


def every_pair(above: str, below: str) -> set[str]:
    """All pairs of a wine above with a wine below."""
    return {a + b for a in above for b in below}


def test_two_leaders_that_cannot_be_told_apart_share_the_lead() -> None:
    """The sentence of the brief: two ahead, three that follow together."""
    marks = judged('ACBDE', every_pair('AC', 'BDE'))
    expected = "A and C are ahead; the marks cannot tell the two apart. B, D and E follow together."
    assert expected == words.marks_in_words(marks)


def test_a_winner_is_named_when_told_from_every_other() -> None:
    """One wine told from all others is ahead of every other wine."""
    marks = judged('ABCD', every_pair('A', 'BCD'))
    expected = "A is ahead of every other wine. B, C and D follow together."
    assert expected == words.marks_in_words(marks)


def test_a_run_of_single_steps_is_told_in_order() -> None:
    """Clean breaks between all wines give one wine after the other."""
    marks = judged('ABCD', {'AB', 'AC', 'AD', 'BC', 'BD', 'CD'})
    expected = "A is ahead of every other wine. B follows. Then comes C; then D."
    assert expected == words.marks_in_words(marks)


def test_overlapping_leaders_are_not_called_ahead() -> None:
    """Where B cannot be told from A nor from C, no clean group leads."""
    marks = judged('ABC', {'AC'})
    expected = "No wine is ahead on its own: the marks cannot tell A from B. C stands below A."
    assert expected == words.marks_in_words(marks)


@pytest.mark.parametrize(
    ('p', 'expected'),
    [
        (0.4, "The marks show no difference between the four wines beyond what chance would make."),
        (0.01, "The wines are not all alike, but the marks cannot say which of them differ."),
    ],
)
def test_no_pair_told_apart_is_said_plainly(p: float, expected: str) -> None:
    """The joint test decides between no difference and one that cannot be placed."""
    assert expected == words.marks_in_words(judged('ABCD', set(), test_p=p))


def test_two_wines_have_a_sentence_of_their_own() -> None:
    """Told apart with the amount, or not told apart."""
    assert "A is ahead of B by 1.0\u00a0points." == words.marks_in_words(judged('AB', {'AB'}))
    assert "The marks cannot tell A and B apart." == words.marks_in_words(judged('AB', set()))


def test_many_wines_without_pairs_stay_short_and_name_candidates() -> None:
    """1,100 wines give at most two sentences that count who may be best."""
    told = words.finding(sample(1100, with_pairs=False, sites=()))
    assert "of the 1,100 wines" in told or "out of 1,100" in told
    assert "ahead" not in told
    assert len(told) < 250


def test_a_tasting_in_parts_says_so_first() -> None:
    """Groups that no taster joins get no common order."""
    told = words.finding(disconnected())
    assert told.startswith("The wines fall into two groups that no taster joins")
    assert "Among Wexcombe Grüner, Lower Ambry Seyval and Brackenfold Traminer:" in told


def test_long_and_hostile_names_are_said_on_one_line() -> None:
    """Line breaks, escapes and endless names do not break the sentence."""
    assert "A b [31mc" == words.spoken('A\nb \x1b[31mc')
    assert 48 == len(words.spoken('x' * 400))


@given(st.data())
def test_a_single_winner_is_never_named_against_the_pairs(data: st.DataObject) -> None:
    """Only a wine told from every other, at p below 0.05, is called ahead on its own."""
    names = 'ABCDEF'[: data.draw(st.integers(2, 6))]
    values = data.draw(st.lists(st.floats(0, 1), min_size=15, max_size=15).map(lambda ps: [*ps]))
    marks = judged(names, set())
    pairs = tuple(
        dataclasses.replace(pair, p_adjusted=p)
        for pair, p in zip(marks.pairs, values, strict=False)
    )
    told = words.marks_in_words(dataclasses.replace(marks, pairs=pairs))
    ahead = re.match(r'([A-F]) is ahead', told)
    clear = all(p.p_adjusted < 0.05 for p in pairs if 'A' in (p.a, p.b))
    assert clear == (ahead is not None and ahead.group(1) == 'A')


@given(st.sets(st.sampled_from([a + b for a, b in combinations('ABCDE', 2)])))
def test_tiers_hold_every_wine_once_and_break_cleanly(told: set[str]) -> None:
    """The tiers are the order cut in pieces, each told from all that follow."""
    found = tiers(judged('ABCDE', told))
    assert 'ABCDE' == ''.join(name for tier in found for name in tier.wines)
    for above, below in combinations(found, 2):
        assert every_pair(''.join(above.wines), ''.join(below.wines)) <= told
    for tier in found:
        assert tier.alike == (not any(a + b in told for a, b in combinations(tier.wines, 2)))


def test_components_are_said_as_usual_differences() -> None:
    """A variance is said as its square root; nought as none."""
    components = {
        'taster': ComponentFinding(2.25, 1.8, 2.9),
        'site': ComponentFinding(0.0, None, 0.09),
        'bottle': ComponentFinding(0.16, 0.05, 0.35),
    }
    expected = (
        "one taster from another: 1.5\u00a0points",
        "one room from another: none that the marks can show",
        "one room's bottle from another's, same wine: 0.4\u00a0points",
    )
    assert expected == words.components_in_words(components)
    assert '0.0 to 0.3' == words.component_in_words('site', components['site']).interval


def test_the_serving_order_is_said_with_its_direction() -> None:
    """A clear effect adds or takes; an unclear one makes no difference to be shown."""
    clear = CovariateFinding('position', None, -0.06, 0.02, 900, -3, 0.003, -0.1, -0.02)
    expected = (
        "Each place later in the serving order takes about 0.06\u00a0points (−0.10 to −0.02)."
    )
    assert expected == words.covariate_in_words(clear)
    unclear = dataclasses.replace(clear, p=0.3)
    assert "no difference that the marks can show" in words.covariate_in_words(unclear)


@pytest.mark.parametrize(
    ('p', 'begins'),
    [(0.99, "is almost surely"), (0.8, "is probably the"), (0.3, "may be"), (0.0, "is hardly")],
)
def test_sureness_has_words_and_a_number(p: float, begins: str) -> None:
    """The chance of being best is told both ways."""
    told = words.how_sure(p)
    assert told.startswith(begins)
    assert told.endswith('%)')


@pytest.mark.parametrize(
    ('letters', 'expected'), [('abc', 'abc'), ('ijkl', 'i–l'), ('acde', 'acde')]
)
def test_long_runs_of_letters_are_shortened(letters: str, expected: str) -> None:
    """Four letters in a row and more are written as a run."""
    assert expected == words.letters_in_words(letters)


def test_the_sample_has_no_single_winner() -> None:
    """The sample's first two wines share the lead."""
    findings: Findings = sample()
    assert words.finding(findings).startswith(f"{NAMES[0]} and {NAMES[1]} are ahead")
