"""The guide of a score sheet: what it says, from which sheet, on how many pages."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pypdfium2
import pytest
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.errors import SheetError, UsageError
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.hints import hints
from halfpoint.sheet.load import builtin_sheets, load_sheet
from halfpoint.teach.guide import make_guide
from halfpoint.teach.guide.families import usual_in
from halfpoint.teach.guide.pages import MOST, Length, guide_pdf
from halfpoint.teach.guide.said import Example
from halfpoint.teach.guide.stages import stage_of_category

TWENTY = load_sheet('twenty-point')
BARE = Sheet.model_validate(
    {
        'key': 'bare',
        'label': "Bare",
        'category': [{'key': 'x', 'label': "Joy", 'top': 5, 'step': 1}],
    }
)


def _pages(pdf: bytes) -> list[str]:
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        return [' '.join(page.get_textpage().get_text_range().split()) for page in document]


@pytest.mark.parametrize('name', builtin_sheets())
def test_every_category_of_a_sheet_has_its_stage(name: str) -> None:
    """Each line of the sheet stands in one stage, with all its guidance."""
    sheet = load_sheet(name)
    lines = [line for stage in make_guide(sheet).stages for line in stage.lines]
    assert {c.key: len(c.guidance) for c in sheet.categories} == {
        line.key: len(line.bands) for line in lines
    }
    assert len(sheet.categories) == len(lines)


def test_stages_of_the_common_sheet() -> None:
    """Appearance is looked at, aroma smelt, taste tasted, aftertaste timed, the rest decided."""
    assert ['look', 'smell', 'taste', 'finish', 'decide'] == list(
        stage_of_category(TWENTY).values()
    )


def test_a_line_in_unknown_words_is_decided_at_the_end() -> None:
    """A category that no word gives away goes with the overall mark."""
    assert {'x': 'decide'} == stage_of_category(BARE)


def _entry(sheet: Sheet, example: Example) -> Entry:
    terms = {term.label: key for key, term in sheet.terms_by_key.items()}
    faults = {fault.label: key for key, fault in sheet.faults_by_key.items()}
    return Entry(
        taster='guide',
        wine=example.wine,
        marks={mark.key: mark.mark for mark in example.marks},
        total=example.total,
        terms=tuple(terms[label] for label in example.terms),
        faults=tuple(faults[label] for label in example.faults),
        finish_seconds=example.finish_seconds,
    )


@pytest.mark.parametrize('name', builtin_sheets())
def test_examples_agree_with_their_sheet(name: str) -> None:
    """The worked examples raise none of the hints that the sheet gives to tasters."""
    sheet = load_sheet(name)
    found = [h for e in make_guide(sheet).examples for h in hints(sheet, _entry(sheet, e))]
    assert [] == found


@pytest.mark.parametrize('name', builtin_sheets())
def test_examples_are_marked_in_steps_of_the_sheet(name: str) -> None:
    """Every mark lies on a step between the lowest and the top, and the total is their sum."""
    sheet = load_sheet(name)
    for example in make_guide(sheet).examples:
        for mark in example.marks:
            of = sheet.category(mark.key)
            assert 0 <= mark.mark - of.lowest <= of.top - of.lowest
            assert 0 == pytest.approx((mark.mark - of.lowest) % of.step)
        marks = {mark.key: mark.mark for mark in example.marks}
        assert example.total == sum(c.weight * marks[c.key] for c in sheet.categories)


def test_examples_of_the_common_sheet_follow_the_trade() -> None:
    """Clear but few aromas earn about 4½ of 6 and a good wine 1½ of 2 (common practice)."""
    plain = {mark.key: mark.mark for mark in make_guide(TWENTY).examples[0].marks}
    assert {'appearance': 3, 'aroma': 4.5, 'taste': 4.5, 'aftertaste': 2, 'overall': 1.5} == plain


def test_a_fault_is_marked_no_higher_than_usual() -> None:
    """The example with a fault keeps to the ceiling that the sheet gives it."""
    faulty = make_guide(TWENTY).examples[-1]
    assert ('Corked',) == faulty.faults
    assert 3 >= next(mark.mark for mark in faulty.marks if mark.key == 'aroma')


def test_a_bare_sheet_has_a_guide() -> None:
    """Without guidance, aromas, faults or finish the guide still says how to taste."""
    guide = make_guide(BARE)
    assert ((), (), ()) == (guide.families, guide.faults, guide.finish)
    assert 3 == len(guide.examples)
    assert 4 >= len(_pages(guide_pdf(guide, 'four')))


@pytest.mark.parametrize('name', builtin_sheets())
@pytest.mark.parametrize('length', ['one', 'four'])
@pytest.mark.parametrize('paper', ['a4', 'us-letter'])
def test_pages_are_as_many_as_promised(name: str, length: Length, paper: str) -> None:
    """One page is one page and four are four, on either paper."""
    guide = make_guide(load_sheet(name))
    pages = _pages(guide_pdf(guide, length, paper='a4' if paper == 'a4' else 'us-letter'))
    assert MOST[length] == len(pages)
    assert all(' '.join(caution.split())[:30] in pages[0] for caution in guide.cautions)


def test_the_longer_guide_has_all_words_and_faults() -> None:
    """Every aroma word, every fault and every invented wine stands on the four pages."""
    guide = make_guide(TWENTY)
    text = ' '.join(_pages(guide_pdf(guide, 'four')))
    words = [twig.label for branch in guide.families for twig in branch.twigs]
    told = [*words, *(f.label for f in guide.faults), *(e.wine for e in guide.examples)]
    assert [] == [word for word in told if word not in text]


@pytest.mark.parametrize(
    ('word', 'usual'),
    [('lemon', 'white'), ('ripe apple', 'white'), ('plum', 'red'), ('vanilla', 'either'),
     ('wet stone', 'white'), ('stone fruit', ''), ('smoke', '')],
)  # fmt: skip
def test_usual_finds_follow_the_trade(word: str, usual: str) -> None:
    """Citrus and stone in whites, plum in reds, oak in either (common practice, no source)."""
    assert usual == usual_in(word)


def test_the_same_sheet_gives_the_same_bytes() -> None:
    """The PDF carries no date."""
    guide = make_guide(TWENTY)
    assert guide_pdf(guide, 'one') == guide_pdf(guide, 'one')


def _run(*said: str) -> str:
    result = CliRunner().invoke(app, ['guide', *said], catch_exceptions=False)
    assert 0 == result.exit_code, result.output
    return result.output


def test_the_command_writes_both(tmp_path: Path) -> None:
    """Two PDFs lie in the folder, of the common sheet when none is named."""
    told = _run('--into', str(tmp_path / 'guide'))
    assert "Twenty points" in told
    assert {'guide-one-page.pdf', 'guide-four-pages.pdf'} == {
        path.name for path in (tmp_path / 'guide').iterdir()
    }


def test_a_tasting_file_gives_its_sheet_and_title(tmp_path: Path) -> None:
    """The guide of an invented tasting has its title and says that it is invented."""
    (tmp_path / 'tasting.toml').write_text(
        '[tasting]\nkey = "a"\ntitle = "Autumn round"\nsheet = "liking"\ninvented = true\n'
        '[[wine]]\nkey = "w"\nname = "W"\n',
        encoding='utf-8',
    )
    _run(str(tmp_path / 'tasting.toml'), '--into', str(tmp_path / 'out'))
    text = _pages((tmp_path / 'out' / 'guide-one-page.pdf').read_bytes())[0]
    assert "Autumn round Invented for demonstration" in text
    assert "Nine-point liking" in text


def test_an_unknown_sheet_is_refused(tmp_path: Path) -> None:
    """The refusal names the sheets there are."""
    with pytest.raises(SheetError, match='twenty-point'):
        _run('twenty', '--into', str(tmp_path))


def test_an_unknown_paper_is_refused(tmp_path: Path) -> None:
    """Paper is A4 or Letter."""
    with pytest.raises(UsageError, match='a4 or letter'):
        _run('--into', str(tmp_path), '--paper', 'a5')
