"""The practice file: added to, never written over."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some
from tests.teach.sample_practice import SHEET, WINES, entry, result

from halfpoint.errors import FileNotReadable, InputError, OutputError
from halfpoint.sheet.load import load_sheet
from halfpoint.teach.diary import Drilled, Marked, begin, note, note_drill, read_diary, standing
from halfpoint.teach.prior import panel_prior
from halfpoint.teach.reference import TOTAL, reference_of

REFERENCE = reference_of(result(), SHEET, 'result.json')
MARKS = [3.0, 4.5, 4.0, 2.0, 1.5]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A practice with a reference."""
    made = tmp_path / 'mine.practice'
    begin(made, SHEET, REFERENCE, panel_prior(1.0, 0.2, 1.0))
    return made


def test_what_is_noted_is_read_back(path: Path) -> None:
    """Sheet, reference, prior, marks with their words and drills come back as they were."""
    marked = Marked(
        'one', entry(WINES[0], MARKS, terms=['lemon'], finish_seconds=20.0, remark='ripe'), False
    )
    drilled = Drilled('one', 'triangle', 6, 4)
    note(path, marked)
    note_drill(path, drilled)
    diary = read_diary(path)
    assert (SHEET, (drilled,), ()) == (diary.sheet, diary.drilled, diary.unread)
    assert (marked,) == diary.stages[0].marked
    assert panel_prior(1.0, 0.2, 1.0) == diary.stages[0].own
    assert diary.reference is not None
    assert (REFERENCE.wines, REFERENCE.priors, REFERENCE.terms) == (
        diary.reference.wines, diary.reference.priors, diary.reference.terms,
    )  # fmt: skip
    for key in (TOTAL, 'aroma'):
        np.testing.assert_allclose(
            REFERENCE.marks[key].covariance, diary.reference.marks[key].covariance, atol=1e-8
        )


def test_a_line_cut_short_is_told_and_the_rest_stands(path: Path) -> None:
    """What a flat battery left half written costs nothing else, and the next line is whole."""
    note(path, Marked('one', entry(WINES[0], MARKS)))
    whole = path.read_bytes()
    path.write_bytes(whole + b'{"kind":"marked","session":"one","en')
    note(path, Marked('one', entry(WINES[1], MARKS)))
    diary = read_diary(path)
    assert (3,) == diary.unread
    assert list(WINES[:2]) == [one.entry.wine for one in diary.stages[0].marked]
    assert path.read_bytes().startswith(whole)


def test_a_correction_stands_for_the_last_and_keeps_the_first(path: Path) -> None:
    """A corrected wine counts once, as corrected; the earlier line is still in the file."""
    note(path, Marked('one', entry(WINES[0], MARKS)))
    note(path, Marked('one', entry(WINES[1], MARKS)))
    note(path, Marked('one', entry(WINES[0], [3.0, 5.0, 4.0, 2.0, 1.5]), corrects=True))
    kept = read_diary(path).stages[0].marked
    assert [15.5, 15.0] == [one.entry.total for one in standing(kept)]
    assert 3 == len(kept)


def test_another_year_is_another_stage(path: Path) -> None:
    """A second reference begins a stage, and later marks belong to it."""
    note(path, Marked('one', entry(WINES[0], MARKS)))
    begin(path, SHEET, None)
    note(path, Marked('two', entry('Mine', MARKS)))
    assert [1, 1] == [len(stage.marked) for stage in read_diary(path).stages]


def test_another_sheet_does_not_go_into_the_same_file(path: Path) -> None:
    """A practice stays on one sheet, and says what to do for another."""
    before = path.read_bytes()
    with pytest.raises(InputError, match='on the sheet Twenty points'):
        begin(path, load_sheet('hundred-point'), None)
    assert before == path.read_bytes()


def test_a_file_that_is_no_practice_is_left_as_it_is(tmp_path: Path) -> None:
    """Missing, foreign, or in a folder that is not there: a refusal each."""
    with pytest.raises(FileNotReadable, match='no such file'):
        read_diary(tmp_path / 'none')
    foreign = tmp_path / 'letter.txt'
    foreign.write_text('Dear Ann,\n', encoding='utf-8')
    with pytest.raises(InputError, match='not a practice file'):
        begin(foreign, SHEET, None)
    assert 'Dear Ann,\n' == foreign.read_text(encoding='utf-8')
    with pytest.raises(OutputError):
        begin(tmp_path / 'no' / 'folder', SHEET, None)


@settings(
    deadline=None, max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(junk=some.lists(some.one_of(some.binary(max_size=60), some.sampled_from([
    b'{}', b'[]', b'3', b'{"kind":"begun"}', b'{"kind":"marked","entry":{}}', b'{"kind":[]}',
    b'{"kind":"drilled"}', b'{"kind":"marked","session":1,"corrects":0,"entry":[]}',
])), max_size=6))  # fmt: skip
def test_no_line_whatever_breaks_the_reading(path: Path, junk: list[bytes]) -> None:
    """Any bytes between whole lines are told by number, and the whole lines are read."""
    begin(path, SHEET, None)
    with path.open('ab') as stream:
        stream.write(b'\n'.join(junk) + b'\n')
    note(path, Marked('one', entry(WINES[0], MARKS)))
    diary = read_diary(path)
    assert WINES[0] == diary.stages[-1].marked[-1].entry.wine
