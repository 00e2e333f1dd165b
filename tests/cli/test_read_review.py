"""`halfpoint read --review` and `--audit`: a person decides, and looks a second time."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from scipy import stats
from tests.cli.paper import (
    MARKS,
    Unread,
    doubtful,
    make_tasting,
    printed,
    ran,
    reading,
    scan,
    state_of,
    tasting_in,
)

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.model import Look
from halfpoint.errors import UsageError
from halfpoint.ledger.records import Decided
from halfpoint.ledger.review import waiting
from halfpoint.tasting.model import Tasting

AREA = Rectangle(6, 36, 100, 6)
TWO = Look('aroma', 'two', AREA, choices=(4.5, 5.0))
NOTHING = Look('taste', 'nothing', AREA)
CORKED = Look('fault', 'unclear', Rectangle(130, 43, 20, 6), about='corked', choices=(1.0, 0.0))
ANY_WINE = 'zq'


@pytest.fixture(scope='module')
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which twelve pages were read, with a few things to look at."""
    folder = tmp_path_factory.mktemp('spring')
    make_tasting(folder)
    tasting = tasting_in(folder)
    pages = [reading(page) for page in printed(tasting)]
    pages[0] = doubtful(doubtful(pages[0], 1, TWO), 2, CORKED)
    pages[2] = doubtful(pages[2], 3, NOTHING)
    unread = Unread({('all.tiff', n): page for n, page in enumerate(pages, 1)})
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr('halfpoint.collect.paper.read.process.batch_for', unread)
        ran('read', folder / 'spring.toml', scan(folder / 'all.tiff', 12))
    return folder


@pytest.fixture
def tasting(once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Tasting:
    """A copy of it, to work in."""
    shutil.copytree(once, tmp_path / 'spring')
    monkeypatch.chdir(tmp_path / 'spring')
    return tasting_in(Path())


def review(*answers: str, options: tuple[str, ...] = ()) -> str:
    """What is said while somebody types these lines."""
    typed = ''.join(f'{answer}\n' for answer in answers)
    return ran('read', 'spring.toml', '--review', '--who', 'Mira', *options, typed=typed)


def decisions(tasting: Tasting) -> list[tuple[str, object]]:
    """What has been decided, in order."""
    from halfpoint.cli._record import open_record

    with open_record(tasting) as ledger:
        records = [record for record in ledger.records() if isinstance(record.content, Decided)]
    assert {'Mira'} >= {record.who for record in records}
    return [
        (record.content.field, record.content.value)
        for record in records
        if isinstance(record.content, Decided)
    ]


def test_the_list_tells_page_seat_code_line_and_why(tasting: Tasting) -> None:
    """Everything that waits, with what it may be, and no question asked."""
    said = ran('read', 'spring.toml', '--review', '--list')
    code = state_of(tasting).papers.pages
    first = next(iter(code.values())).page.pours[0].code
    assert (
        f'all.tiff, page 1: North room, seat 1, sheet 1, glass 1, code {first}\n'
        '  Aroma: more than one circle is marked (4½ or 5?)' in said
    )
    assert 'Box Corked: the mark cannot be told for sure (ticked or not ticked?)' in said
    assert '3 marks need a look.' in said


def test_each_answer_is_one_key(tasting: Tasting) -> None:
    """Enter for the first choice, n for a box, a mark as it is written: three new entries."""
    before = len(state_of(tasting).entries)
    said = review('', 'n', '3½')
    assert [('aroma', 4.5), ('fault', 0.0), ('taste', 3.5)] == decisions(tasting)
    assert '3 decided, 3 new entries in the record.' in said
    assert 'No mark needs a look.' in said
    assert before + 3 == len(state_of(tasting).entries)
    assert [] == waiting(state_of(tasting))


def test_what_was_decided_stays_when_somebody_quits(tasting: Tasting) -> None:
    """Each decision is in the record at once; the rest waits and is asked the next time."""
    said = review('5', 'q')
    assert [('aroma', 5.0)] == decisions(tasting)
    assert '2 marks still need a look' in said
    assert '1 of 2' in review('q')


def test_the_end_of_input_ends_the_review(tasting: Tasting) -> None:
    """Without any answer nothing is decided."""
    assert '0 decided' in review()
    assert [] == decisions(tasting)


def test_skipped_marks_wait_on(tasting: Tasting) -> None:
    """s leaves a mark as it is."""
    said = review('s', 's', '4')
    assert [('taste', 4.0)] == decisions(tasting)
    assert '2 marks still need a look' in said


def test_back_decides_anew(tasting: Tasting) -> None:
    """b goes back to what was decided, shows it first, and a new answer replaces it."""
    said = review('5', 'b', '4½', 'q')
    assert [('aroma', 5.0), ('aroma', 4.5)] == decisions(tasting)
    assert 'Enter 5 · or 4½' in said
    (entry,) = [e for e in state_of(tasting).entries.values() if len(e.versions) > 1]
    assert [5.0, 4.5] == [version.marks['aroma'] for version in entry.versions]


def test_nothing_marked_is_held(tasting: Tasting) -> None:
    """- says that nothing stands there, and the pour is held with the reason."""
    said = review('s', 's', '-')
    assert [('taste', None)] == decisions(tasting)
    assert 'Held: taste: nothing; expected 0 to 6 in half points' in said


def test_what_is_no_mark_is_asked_again(tasting: Tasting) -> None:
    """A mark that the sheet does not have decides nothing."""
    said = review('9', '4.25', '5', 'q')
    assert 2 == said.count('Expected: 0 to 6 in half points, or - for nothing marked')
    assert [('aroma', 5.0)] == decisions(tasting)


def test_the_picture_is_in_a_file_that_goes_again(tasting: Tasting) -> None:
    """Without a terminal that has grey, the row is in a file while it is asked about."""
    said = review('w', 'q')
    paths = re.findall(r'Picture: (.*look.png)', said)
    assert 2 == len(paths)
    assert not Path(paths[0]).exists()


def test_the_row_is_shown_in_the_terminal(tasting: Tasting) -> None:
    """Half blocks with the circles numbered below them, for a person with a glass in one hand."""
    said = review('q', options=('--show', 'terminal'))
    assert '▀' in said
    assert re.search(r'0 +½ +1 +1½ +2 +2½ +3 +3½ +4 +4½ +5 +5½ +6', said)
    assert 'Picture:' not in said


def test_a_picture_that_is_gone_is_named(tasting: Tasting) -> None:
    """The question is asked all the same, with the file and page to look at."""
    shutil.rmtree('spring.ledger.pages')
    said = review('5', 'q')
    assert 'The picture is gone; look at all.tiff, page 1.' in said
    assert [('aroma', 5.0)] == decisions(tasting)


def test_nobody_decides_without_a_name(tasting: Tasting) -> None:
    """Who decides is kept in the record, so it cannot be empty."""
    with pytest.raises(UsageError):
        ran('read', 'spring.toml', '--review', '--who', ' ', typed='\n')


def test_who_and_what_a_spare_is_about(tasting: Tasting, monkeypatch: pytest.MonkeyPatch) -> None:
    """Seat and code are typed as they stand; one that was not poured there is asked again."""
    page, first = reading(printed(tasting, spares=1)[12]), reading(printed(tasting)[0]).pours[0]
    code = Look('code', 'written', Rectangle(12, 21, 21, 6))
    spare = doubtful(replace(page, pours=page.pours[:1]), 1, code)
    spare = replace(spare, looks=(Look('seat', 'written', Rectangle(130, 0, 20, 8)),))
    unread = Unread({('spare.png', 1): spare})
    monkeypatch.setattr('halfpoint.collect.paper.read.process.batch_for', unread)
    ran('read', 'spring.toml', scan(Path('spare.png'), grey=77))
    said = review('s', 's', 's', '99', '1', '000', first.code)

    assert 'North room, spare 1' in said
    assert 'a seat of north, 1 to 3' in said
    assert 'a code poured at north' in said
    assert [('seat', '1'), ('code', first.code)] == decisions(tasting)


def other(tasting: Tasting, monkeypatch: pytest.MonkeyPatch, taste: float) -> None:
    """Read another picture of the second page, which says something else."""
    page = reading(printed(tasting)[1])
    pours = (replace(page.pours[0], marks={**MARKS, 'taste': taste}),)
    unread = Unread({('again.png', 1): replace(page, pours=pours)})
    monkeypatch.setattr('halfpoint.collect.paper.read.process.batch_for', unread)
    ran('read', 'spring.toml', scan(Path('again.png'), grey=33))


@pytest.mark.parametrize(('answer', 'taste'), [('', 4.0), ('1', 1.0)])
def test_of_two_pictures_a_person_chooses(
    tasting: Tasting, monkeypatch: pytest.MonkeyPatch, answer: str, taste: float
) -> None:
    """Enter keeps what counts; 1 takes the other, and the entry is corrected."""
    other(tasting, monkeypatch, 1.0)
    said = review('s', 's', 's', answer)
    assert 'again.png, page 1: another picture of North room, seat 1, sheet 2' in said
    assert 'glass 1 of the page, Taste: 1, where 4 counts' in said
    state = state_of(tasting)
    code = reading(printed(tasting)[1]).pours[0].code
    assert {taste} == {e.now.marks['taste'] for e in state.entries.values() if e.now.code == code
                       and e.now.taster == 'north-seat-1'}  # fmt: skip
    assert {} == state.papers.others


def test_review_and_audit_name_no_wine(tasting: Tasting, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever is decided, nothing tells what was poured."""
    other(tasting, monkeypatch, 1.0)
    said = review('5', 'y', '-', '1')
    said += ran('read', 'spring.toml', '--audit', '3', '--seed', '1', typed='1 taste 1\n\n\n\n')
    assert ANY_WINE not in said.lower()


def audit(*answers: str, pages: int = 4) -> str:
    """What is said at a second look while somebody types these lines."""
    typed = ''.join(f'{answer}\n' for answer in answers)
    options = ('--audit', str(pages), '--seed', '5', '--who', 'Mira', '--into', 'look')
    return ran('read', 'spring.toml', *options, typed=typed)


def test_pages_without_fault_bound_the_errors(tasting: Tasting) -> None:
    """The bound is that of Clopper and Pearson, as SciPy has it."""
    said = audit('', '', '', '')
    marks = int(re.search(r'Of (\d+) marks taken without a person none was', said)[1])  # type: ignore[index]
    exact = stats.binomtest(0, marks).proportion_ci(0.90, method='exact').high
    assert f'fewer than 1 in {int(1 / exact)} ({exact * 100:.3g} %) are' in said
    assert '4 pages have had a second look.' in said
    assert ['001.png', '002.png', '003.png', '004.png'] == sorted(
        path.name for path in Path('look').iterdir()
    )


def test_the_page_shows_what_was_read(tasting: Tasting) -> None:
    """Rings on the page and marks beside it are in moss, on a picture large enough to read."""
    audit('q', pages=1)
    pixels = np.asarray(Image.open('look/001.png').convert('RGB'), dtype=int)
    moss = abs(pixels - np.array([0x2F, 0x6B, 0x57])).sum(axis=2) < 12
    page = 196 * 7
    assert moss[:, :page].sum() > 1_000
    assert moss[:, page:].sum() > 1_000
    assert pixels.shape[0] > 1_800


def test_what_was_read_wrongly_is_put_right(tasting: Tasting) -> None:
    """A line for each: the entry is corrected, and the bound grows."""
    said = audit('1 taste 1', '1 corked yes', '', 'q')
    assert 'Glass 1, Taste: 1.' in said
    assert re.search(r'Corrected: entry \d+', said)
    assert 'Of 20 marks' in said or 'marks taken without a person 1 was read wrongly' in said
    assert 1 == sum(e.now.marks['taste'] == 1.0 for e in state_of(tasting).entries.values())
    assert 1 == sum('corked' in e.now.faults for e in state_of(tasting).entries.values())


def test_lines_that_mean_nothing_are_asked_again(tasting: Tasting) -> None:
    """What is not understood, or was read so, is said; a line can be taken back."""
    said = audit('9 taste 1', '1 tast', '1 taste 9', '1 bouquet 3', '1 taste 4', '', '1 taste 2',
                 'b', '', 'q')  # fmt: skip
    assert 'a glass of the page' in said
    assert 'Expected: 0 to 6 in half points, or - for nothing marked' in said
    assert 'what was read' in said
    assert 'Taken back.' in said
    assert '1 page has had a second look.' in said
    assert 'none was read wrongly' in said


def test_no_page_is_looked_at_a_second_time_again(tasting: Tasting) -> None:
    """Another draw takes other pages, until there are none."""
    audit(*[''] * 8, pages=8)
    said = audit(*[''] * 8, pages=8)
    assert re.search(r'\d pages are there that no second look has had', said)
    assert '0 pages are there that no second look has had' in audit()
