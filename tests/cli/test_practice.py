"""`halfpoint practice`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as some
from tests.teach.sample_practice import SHEET, WINES, result
from typer.testing import CliRunner, Result

from halfpoint.cli._practice import _marks
from halfpoint.cli.main import app
from halfpoint.errors import FileNotReadable, HalfpointError, InputError, UsageError

MARKS = {
    WINES[0]: "3 4 4 2 1",
    WINES[1]: "2½ 3½ 3½ 1½ 1",
    WINES[2]: "2.5 3 3.5 1.5 1",
    WINES[3]: "2 2 2½ 1 ½",
}


def run(*options: object) -> Result:
    """The command with these options."""
    return CliRunner().invoke(app, ['practice', *map(str, options)], catch_exceptions=False)


@pytest.fixture
def past(tmp_path: Path) -> Path:
    """A past result."""
    path = tmp_path / 'result.json'
    path.write_text(json.dumps(result()), encoding='utf-8')
    return path


@pytest.fixture
def mine(tmp_path: Path, past: Path) -> Path:
    """A practice begun from it."""
    path = tmp_path / 'mine.practice'
    assert 0 == run(path, '--from', past).exit_code
    return path


def test_a_practice_from_a_past_result(tmp_path: Path, past: Path) -> None:
    """Begin, mark, progress and advice, and the past result is no longer needed."""
    mine = tmp_path / 'mine.practice'
    begun = run(mine, '--from', past).output
    assert "Compared with Harrow League, whites (invented), 100 tasters. Its wines:" in begun
    assert "spit" in begun
    past.unlink()
    for session in ('one', 'two'):
        for wine, marks in MARKS.items():
            said = run(mine, '--wine', wine.upper(), '--marks', marks, '--session', session).output
            assert f"{wine}\n  You gave " in said
    said = run(mine).output
    assert ["one: 4 wines;", "two: 4 wines;"] == [line[:13] for line in said.splitlines()[:2]]
    assert "So far you mark " in said
    assert "points below the panel" in said
    assert "To practise next: For " in said
    assert "!" not in said


def test_few_wines_are_told_as_few(mine: Path) -> None:
    """After one wine there is the wine's own feedback, and no word on how the learner marks."""
    said = run(mine, '--wine', WINES[0], '--marks', MARKS[WINES[0]]).output
    assert "After 5 more there is something to say of how you mark." in said
    said = run(mine).output
    assert "So few wines say nothing yet of how you mark" in said
    assert "To practise next: After 1 wine it is least certain" in said


def test_the_same_mark_for_every_wine_is_told_kindly(mine: Path) -> None:
    """Marks all alike say nothing of spread, noise and order, and that is said."""
    for wine in WINES:
        run(mine, '--wine', wine, '--marks', "3 4 4 2 1", '--session', 'one')
    said = run(mine).output
    assert "it says nothing of how you tell wines apart" in said
    assert "agreement" not in said
    assert "Between two wines" not in said
    assert "varies" not in said


def test_own_bottles_are_not_judged(tmp_path: Path) -> None:
    """Without a reference marks are kept, steadiness is told, and nothing is high or low."""
    mine = tmp_path / 'own.practice'
    assert "nothing to compare with" in run(mine, '--own').output
    said = run(mine, '--wine', 'House white', '--marks', "3,4,4,2,1½", '--session', 'a').output
    assert "nothing is said of whether 14½ is high or low" in said
    run(mine, '--wine', 'House white', '--marks', "3 4 4 2 1", '--session', 'a')
    said = run(mine).output
    assert "a: 2 wines, none to compare" in said
    assert "Poured again once: a total given again varies by about 0.4 points." in said
    assert "To practise next" not in said


def test_another_wine_beside_those_of_the_panel(mine: Path) -> None:
    """A near name is asked about; --another or a name far from all is a wine of one's own."""
    with pytest.raises(UsageError, match='Amber Lan') as refusal:
        run(mine, '--wine', 'Amber Lan', '--marks', "3 4 4 2 1")
    assert "did you mean 'Amber Lane'?" in refusal.value.expected
    said = run(mine, '--wine', 'Amber Lan', '--marks', "3 4 4 2 1", '--another').output
    assert "did not have this wine" in said
    assert "did not have" in run(mine, '--wine', 'Zweigelt', '--marks', "3 4 4 2 1").output


def test_marks_can_be_kept_for_later(mine: Path) -> None:
    """With --later the panel's marks stay hidden until the session is asked for."""
    options = ('--wine', WINES[0], '--marks', MARKS[WINES[0]], '--session', 'blind one')
    said = run(mine, *options, '--later').output
    assert "panel's mark" not in said
    assert "16.6" not in said
    assert '--session "blind one"' in said
    assert "the panel 16.6" in run(mine, '--session', 'Blind One').output
    with pytest.raises(UsageError, match='blond') as refusal:
        run(mine, '--session', 'blond')
    assert "blind one" in refusal.value.expected


def test_a_correction_counts_in_place_of_what_it_corrects(mine: Path) -> None:
    """The corrected marks count; correcting what was not marked is refused."""
    options = ('--wine', WINES[0], '--session', 'one')
    run(mine, *options, '--marks', "3 4 4 2 1")
    run(mine, *options, '--marks', "3 5 5 2½ 1½", '--correct')
    assert "one: 1 wine;" in run(mine).output
    with pytest.raises(UsageError, match='no marks of Dun Ridge in session one'):
        run(mine, '--wine', WINES[3], '--session', 'one', '--marks', "3 4 4 2 1", '--correct')


def test_last_years_record_can_be_taken_or_left(tmp_path: Path, past: Path) -> None:
    """With --taster the first session starts from the record; with --fresh it does not."""
    mine = tmp_path / 'ann.practice'
    run(mine, '--from', past, '--taster', 'ANN')
    for wine, marks in MARKS.items():
        run(mine, '--wine', wine, '--marks', marks, '--session', 'one')
    assert run(mine).output != run(mine, '--fresh').output


@pytest.mark.parametrize(
    ('options', 'found'),
    [
        (('--wine', WINES[0]), 'a wine without marks'),
        (('--marks', "3 4 4 2 1"), 'marks without a wine'),
        (('--wine', WINES[0], '--marks', "3 4 4"), '3 marks'),
        (('--wine', WINES[0], '--marks', "3 4 4 2 x"), "'x'"),
        (('--wine', WINES[0], '--marks', "3 4 4 2 1¼"), '1¼; nothing was kept'),
        (('--wine', WINES[0], '--marks', "aroma=4"), 'nothing; nothing was kept'),
        (('--wine', WINES[0], '--marks', "3 4 4 2 1", '--terms', 'lemn'), "'lemn'"),
        (('--drill', 'square'), "'square'"),
        (('--drill', 'triangle', '--rounds', '0'), '0 rounds'),
        (('--drill', 'triangle', '--right', '9'), '9 right of 6'),
        (('--own', '--from', 'x.json'), '--own and --from together'),
        (('--own', '--taster', 'ANN'), '--taster without --from'),
    ],
)
def test_what_does_not_fit_is_refused_and_not_kept(
    mine: Path, options: tuple[str, ...], found: str
) -> None:
    """Each refusal says what was found, and the practice file is as it was."""
    before = mine.read_bytes()
    with pytest.raises(UsageError) as refusal:
        run(mine, *options)
    assert found in str(refusal.value)
    assert before == mine.read_bytes()


def test_results_that_do_not_fit_are_refused(tmp_path: Path, past: Path) -> None:
    """A result on another sheet, no JSON, no file: each in words, and no practice is begun."""
    mine = tmp_path / 'mine.practice'
    with pytest.raises(InputError, match='its sheet is Twenty points'):
        run(mine, '--from', past, '--sheet', 'hundred-point')
    past.write_text('wine,total\n', encoding='utf-8')
    with pytest.raises(InputError, match='not JSON'):
        run(mine, '--from', past)
    with pytest.raises(FileNotReadable):
        run(mine, '--from', tmp_path / 'none.json')
    with pytest.raises(FileNotReadable, match='no such file'):
        run(mine)
    with pytest.raises(UsageError, match='no practice file'):
        run()
    assert not mine.exists()


def test_a_practice_set_is_all_a_learner_needs(tmp_path: Path, past: Path) -> None:
    """Made from a past result, of the wines named: no taster in it, and a practice from it."""
    made, mine = tmp_path / 'set.json', tmp_path / 'mine.practice'
    chosen = (WINES[2].upper(), WINES[0])
    said = run('--from', past, '--set', made, *(v for wine in chosen for v in ('--only', wine)))
    assert f"  {WINES[2]}\n  {WINES[0]}\n" in said.output
    past.unlink()
    assert 'ANN' not in made.read_text(encoding='utf-8')
    begun = run(mine, '--from', made).output
    assert "Compared with Harrow League, whites (invented), 100 tasters. Its wines:" in begun
    assert WINES[1] not in begun
    told = run(mine, '--wine', WINES[0], '--marks', MARKS[WINES[0]]).output
    assert "the panel 16.6" in told


def test_practice_sets_that_do_not_fit_are_refused(tmp_path: Path, past: Path) -> None:
    """A wine that is not there, a taster, another sheet, a set cut short, one over the result."""
    made, mine = tmp_path / 'set.json', tmp_path / 'mine.practice'
    with pytest.raises(UsageError, match="'Amber Lain'") as refusal:
        run('--from', past, '--set', made, '--only', 'Amber Lain')
    assert 'Amber Lane' in refusal.value.expected
    with pytest.raises(UsageError, match='half asked for'):
        run('--set', made)
    with pytest.raises(UsageError, match='the result itself'):
        run('--from', past, '--set', past)
    run('--from', past, '--set', made)
    with pytest.raises(UsageError, match='holds no tasters'):
        run(mine, '--from', made, '--taster', 'ANN')
    with pytest.raises(UsageError, match='hundred-point'):
        run(mine, '--from', made, '--sheet', 'hundred-point')
    whole = json.loads(made.read_text(encoding='utf-8'))
    del whole['reference']['priors']
    made.write_text(json.dumps(whole), encoding='utf-8')
    with pytest.raises(InputError, match='cannot be read'):
        run(mine, '--from', made)
    made.write_text(json.dumps(whole | {'form': 2}), encoding='utf-8')
    with pytest.raises(InputError, match='form 2'):
        run(mine, '--from', made)
    assert not mine.exists()


def test_a_table_of_marks_is_kept_whole_or_not_at_all(tmp_path: Path, mine: Path) -> None:
    """Rows by name of column and session; given again nothing is added; one bad row keeps none."""
    table = tmp_path / 'marks.csv'
    head = 'Session;Wine;Appearance;Aroma;Taste;Aftertaste;Overall impression;Aromas;Finish (s)'
    rows = [f'mon;{wine};{marks.replace(" ", ";")};lemon;20' for wine, marks in MARKS.items()]
    table.write_text('\n'.join([head, *rows]) + '\n', encoding='utf-8')
    assert "Kept 4 wines of marks.csv." in run(mine, '--table', table).output
    assert "mon: 4 wines;" in run(mine).output
    before = mine.read_bytes()
    assert "Kept 0 wines of marks.csv; 4 were there already." in run(mine, '--table', table).output
    assert before == mine.read_bytes()
    table.write_text(
        '\n'.join([head, *rows, 'tue;Amber Lane;3;9;4;2;1;;']) + '\n', encoding='utf-8'
    )
    with pytest.raises(InputError, match='row 6, aroma') as refusal:
        run(mine, '--table', table)
    assert "nothing of the table was kept" in refusal.value.remedy
    table.write_text('wine,aroma\nAmber Lane,4\n', encoding='utf-8')
    with pytest.raises(InputError, match='no column for appearance, taste'):
        run(mine, '--table', table)
    assert before == mine.read_bytes()


def test_progress_as_json(tmp_path: Path, mine: Path) -> None:
    """What the words say: sessions, figures with intervals, and what to practise next."""
    for wine, marks in MARKS.items():
        run(mine, '--wine', wine, '--marks', marks, '--session', 'one', '--later')
    told = json.loads(run(mine, '--json', '-').output)
    assert [('one', 4)] == [(s['session'], len(s['wines'])) for s in told['sessions']]
    severity = told['now']['total']['severity']
    assert severity['low'] < severity['value'] < severity['high']
    assert told['advice']['category'] in SHEET.categories_by_key
    assert told['advice']['why'] in run(mine).output
    assert f"JSON: {tmp_path / 'p.json'}" in run(mine, '--json', tmp_path / 'p.json').output
    assert told == json.loads((tmp_path / 'p.json').read_text(encoding='utf-8'))


def test_a_drill_for_whoever_pours_and_for_the_taster(tmp_path: Path) -> None:
    """Two pages: only the pourer's says what is in the glasses and which is right."""
    said = run('--drill', 'triangle', '--rounds', 6, '--seed', 3, '--into', tmp_path / 'drill')
    assert "the taster sees only the second" in said.output
    pourer, taster = (
        (tmp_path / 'drill' / name).read_text(encoding='utf-8')
        for name in ('pourer.txt', 'taster.txt')
    )
    assert 6 == pourer.count('right: ')
    assert "spit" in pourer
    assert "right" not in taster
    assert 6 == taster.count('my answer')
    assert run('--drill', 'triangle', '--seed', 3).output.startswith(pourer)


def test_drills_add_up(mine: Path) -> None:
    """Right answers are judged, kept, and added to those of other days for the same wines alone."""
    pair = ('--rounds', 8, '--wine', 'Riesling and Chenin')
    said = run(mine, '--drill', 'Duo trio', *pair, '--right', 5).output
    assert "That does not mean they are alike" in said
    other = run(mine, '--drill', 'duo-trio', '--rounds', 8, '--right', 0).output
    assert "Name the two wines with --wine" in other
    together = "Riesling and Chenin, every duo-trio drill so far: 12 of 16 right, and 12 are enough"
    assert together in run(mine, '--drill', 'duo-trio', *pair, '--right', 7).output
    assert together in run(mine).output


@given(some.text(max_size=40))
def test_marks_as_text_are_read_or_refused(text: str) -> None:
    """Whatever is written for marks gives a number a category, or a refusal in words."""
    try:
        told: list[object] = list(_marks(SHEET, text).values())
    except HalfpointError as refusal:
        told = [float('nan') if refusal.expected else None]
    assert all(isinstance(one, float) for one in told)
