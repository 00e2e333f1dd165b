"""Words of the guide and of letters: kind, short, easy to read, and no more than marks bear."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.teach.letters.evening import letters, said

from halfpoint.panel.said import Interval
from halfpoint.sheet.load import load_sheet
from halfpoint.teach.guide import make_guide
from halfpoint.teach.letters import words
from halfpoint.teach.letters.said import Letter

with warnings.catch_warnings():
    # It imports what newer Pythons are leaving behind.
    warnings.simplefilter('ignore')
    import textstat

# Words that scold, shame, rank people or claim to be certain.
FORBIDDEN = (
    'wrong', 'bad', 'badly', 'poor', 'poorly', 'worse', 'worst', 'fail', 'failed', 'failure',
    'mistake', 'mistaken', 'error', 'errors', 'should', 'must', 'never', 'always', 'incorrect',
    'correct', 'unreliable', 'careless', 'lazy', 'severe', 'severity', 'harsh', 'lenient', 'strict',
    'inconsistent', 'outlier', 'deviant', 'weak', 'weakness', 'inferior', 'better', 'best',
    'unfortunately', 'sadly', 'disappointing', 'shame', 'blame', 'guilty', 'expert', 'beginner',
    'score card', 'grade', 'obviously', 'clearly proves', 'proves', 'proof', 'significant',
    'standard deviation', 'variance', 'correlation', 'outperform', 'drunk',
)  # fmt: skip
IN_THE_GUIDE = {'better', 'best', 'severe', 'never', 'always'}
LONGEST = 30
EASIEST = {'guide': 80.0, 'taster': 70.0, 'host': 70.0, 'maker': 60.0}


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _texts(inner)


def _guide() -> list[str]:
    """Our own sentences of the guide; those of the sheet are the sheet's."""
    sheet = load_sheet('twenty-point')
    guide = asdict(make_guide(sheet))
    for stage in guide['stages']:
        del stage['lines'], stage['key']
    kept = ('stages', 'words', 'examples', 'tries', 'cautions')
    texts = [text for name in kept for text in _texts(guide[name])]
    signs = {fault.sign for fault in sheet.faults}
    return [text for text in texts if ' ' in text and text not in signs]


def _letters() -> list[Letter]:
    return list(letters()[0])


def _found(text: str, allowed: frozenset[str] | set[str] = frozenset()) -> list[str]:
    folded = text.casefold()
    return [w for w in FORBIDDEN if w not in allowed and re.search(rf'\b{re.escape(w)}\b', folded)]


def _breaths(text: str) -> list[str]:
    """What is read in one breath: to a full stop, a question mark, a colon or a semicolon."""
    return [part for part in re.split(r'(?<=[.?:;])\s+', text) if part]


def _ease(text: str) -> float:
    return float(textstat.flesch_reading_ease(text.replace('\u00a0', ' ').replace('½', '.5')))


def test_the_guide_neither_scolds_nor_exclaims() -> None:
    """No word of the list stands in the guide, and no exclamation mark."""
    text = ' '.join(_guide())
    assert [] == _found(text, IN_THE_GUIDE)
    assert '!' not in text


def test_letters_neither_scold_nor_exclaim() -> None:
    """No word of the list stands in any letter, and no exclamation mark."""
    found = {each.key: _found(said(each)) for each in _letters()}
    assert {} == {key: words for key, words in found.items() if words}
    assert not any('!' in said(each) for each in _letters())


def test_sentences_are_short() -> None:
    """Nothing takes a breath of more than 30 words, names of wines counted."""
    texts = [*_guide(), *(said(each) for each in _letters())]
    breaths = [breath for text in texts for breath in _breaths(text)]
    assert [] == [breath for breath in breaths if len(breath.split()) > LONGEST]


def test_the_guide_is_easy_to_read() -> None:
    """Flesch's reading ease (Flesch 1948, by textstat) is that of easy English."""
    assert EASIEST['guide'] <= _ease(' '.join(_guide()))


@pytest.mark.parametrize('kind', ['taster', 'host', 'maker'])
def test_letters_are_easy_to_read(kind: str) -> None:
    """All letters of a kind together reach the reading ease that is meant for them."""
    assert EASIEST[kind] <= _ease(' '.join(said(each) for each in _letters() if each.kind == kind))


_SIZES = st.floats(-6.0, 6.0, allow_nan=False)


@st.composite
def _intervals(draw: st.DrawFn) -> Interval:
    low, value, high = sorted(draw(st.tuples(_SIZES, _SIZES, _SIZES)))
    return Interval(value, low, high)


@given(_intervals(), st.integers(5, 40))
def test_a_level_is_claimed_only_when_its_interval_leaves_out_zero(
    found: Interval, marks: int
) -> None:
    """Lower and higher are said only of an interval that holds no zero; no word scolds."""
    told = words.level(found, marks)
    assert (found.low > 0) == ("lower than most" in told)
    assert (found.high < 0) == ("higher than most" in told)
    assert [] == _found(told)
    assert '−' not in told


@given(_intervals())
def test_use_of_the_ruler_is_claimed_only_when_its_interval_leaves_out_one(found: Interval) -> None:
    """More or less of the ruler than others is said only of an interval without 1."""
    told = words.spread(found)
    assert (found.low > 1) == ("more of the ruler" in told)
    assert (found.low <= 1 and found.high < 1) == ("close together" in told)
    assert [] == _found(told)


@given(_intervals())
def test_agreement_is_claimed_only_when_its_interval_leaves_out_zero(found: Interval) -> None:
    """Sharing the others' order, or not, is said only of an interval without zero."""
    told = words.order(found)
    assert (found.low > 0) == ("the others" in told and "too few" not in told)
    assert [] == _found(told)
