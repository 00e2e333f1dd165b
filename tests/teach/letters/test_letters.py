"""What letters say, to whom, and what they never say."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
from tests.teach.letters.evening import (
    ASIDE,
    DISAGREED,
    ONE,
    SAME,
    SEVERE,
    TWICE,
    UNMARKED,
    WINES,
    command,
    laid_out,
    letter,
    letters,
    passage,
    said,
    text_of,
)
from typer.testing import CliRunner

from halfpoint.cli._letters import composed
from halfpoint.cli.main import app
from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import Consented
from halfpoint.serve.desk_store import DeskStore
from halfpoint.teach.letters.names import with_names


def record(file: Path, *contents: Consented) -> None:
    """Add to the record of an evening."""
    with Ledger.open(file.with_suffix('.ledger'), tasting_key='spring', create=False) as ledger:
        ledger.append(contents, who='Me')


LINES = ('Appearance', 'Aroma', 'Taste', 'Aftertaste', 'Overall')


def test_only_who_agreed_has_a_letter() -> None:
    """A taster who has not agreed has no letter, and is counted."""
    made, unwritten = letters()
    keys = {each.key for each in made if each.kind == 'taster'}
    assert DISAGREED not in keys
    assert 1 == unwritten.without_consent


def test_who_agreed_and_marked_nothing_has_no_letter() -> None:
    """There is nothing to write to a taster without marks, who is counted too."""
    made, unwritten = letters()
    assert UNMARKED not in {each.key for each in made}
    assert 1 == unwritten.without_marks


def test_no_taster_is_named_in_the_letter_of_another() -> None:
    """The name of a taster stands in that taster's letter alone, and in no host's or maker's."""
    made, _ = letters()
    others = [said(each) for each in made if each.key not in {'t00', 't01'}]
    assert [] == [text for text in others if "Ann Abel" in text]


def test_marks_stand_beside_the_groups() -> None:
    """Each wine of the taster is a row with the group's score and its interval, highest first."""
    rows = letter('t10').rows
    assert set(WINES) == {row.wine for row in rows}
    assert all(row.low < row.score < row.high for row in rows)
    assert sorted((row.score for row in rows), reverse=True) == [row.score for row in rows]


def test_a_lower_level_is_told_with_its_interval() -> None:
    """Who marks lower on the same wines is told by how much, that the scores allow for it."""
    found = letter(SEVERE)
    assert "you mark lower than most: by about" in passage(found, "How you mark")
    assert "between" in passage(found, "How you mark")
    assert "The group's scores allow for that." in passage(found, "How you mark")
    assert found.level is not None
    assert found.level.high < 0


def test_what_to_try_is_what_practice_advises(tmp_path: Path) -> None:
    """One thing by the worth of each category's points, as after practice with the same marks."""
    told = letter(SEVERE).next_time
    assert re.match(
        r"For taste you mark about 1\.\d points below the group \(0\.\d to 1\.\d\)", told
    )
    assert " and mark taste only, with the guidance for taste beside you" in told
    laid_out(tmp_path)
    result, mine = tmp_path / 'result.json', tmp_path / 'mine.practice'
    command(tmp_path, 'results', '--json', str(result))
    assert 0 == CliRunner().invoke(app, ['practice', str(mine), '--from', str(result)]).exit_code
    names = {f'w{number}': name for number, name in enumerate(WINES)}
    table = (tmp_path / 'all.csv').read_text(encoding='utf-8').splitlines()
    for row in csv.DictReader(table):
        if row['Taster'] == SEVERE:
            marks = ' '.join(row[name] for name in LINES)
            options = ['--wine', names[row['Wine']], '--marks', marks, '--later']
            CliRunner().invoke(app, ['practice', str(mine), *options], catch_exceptions=False)
    practised = CliRunner().invoke(app, ['practice', str(mine)]).output
    advised = next(line for line in practised.splitlines() if line.startswith('To practise next'))
    why = told[: told.index(').')].replace('the group', 'the panel')
    assert f'To practise next: {why}' in advised


def test_levels_of_the_group_add_up() -> None:
    """The bars hold every taster whose marks count, edges rising from lower to higher."""
    level = letter('t10').level
    assert level is not None
    assert 23 == sum(level.counts)
    assert sorted(level.edges) == list(level.edges)


def test_one_wine_is_too_little_to_say_how_somebody_marks() -> None:
    """With one wine no figure is given; the marks are shown, and a whole flight is proposed."""
    found = letter(ONE)
    assert "too few marks yet" in passage(found, "How you mark")
    assert found.level is None
    assert 1 == len(found.rows)
    assert "whole flight" in found.next_time


def test_who_always_gives_the_same_mark_is_told_so_plainly() -> None:
    """Without different marks there is no order to compare, and none is claimed."""
    told = passage(letter(SAME), "How you mark")
    assert "the same mark from you, 15½" in told
    assert "order as the others" not in told
    assert "highest mark" not in said(letter(SAME))


def test_a_second_pour_is_told_and_not_overstated() -> None:
    """Two marks of one wine are named; one pair is said to be too little."""
    found = letter(TWICE)
    told = passage(found, "Poured twice")
    assert "You met Ossel Hill more than once, unawares" in told
    assert "One pair cannot tell how steady a palate is" in told
    assert 2 == len(next(row.marks for row in found.rows if row.wine == 'Ossel Hill'))


def test_without_a_second_pour_nothing_is_said_of_it() -> None:
    """No claim is made on repeating oneself."""
    assert '' == passage(letter('t10'), "Poured twice")


def test_aromas_shared_and_found_alone() -> None:
    """What all ticked is shared with a count of others; what nobody else ticked is a find."""
    told = passage(letter(TWICE), "What you found")
    assert "lemon in Ossel Hill (22 of 22 others)" in told
    assert "smoke in Brack Lane (0 of" in told


def test_who_was_set_aside_is_told_without_the_reason() -> None:
    """The letter shows the marks, says that they were left out, and not why."""
    found = letter(ASIDE)
    assert "left them out" in said(found)
    assert "drunk" not in said(found)
    assert () == found.passages
    assert found.level is None
    assert 6 == len(found.rows)


def test_hosts_hear_of_the_room_and_of_no_taster() -> None:
    """A host's letter has averages, completeness and bottles."""
    found = letter('north', 'host')
    assert ["What came home", "Bottles", "The room"] == [p.title for p in found.passages]
    assert "No bottle of your room" in passage(found, "Bottles")
    assert 6 == len(found.rows)
    assert all(1 == len(row.marks) for row in found.rows)


def test_a_spoiled_bottle_is_no_fault_of_the_host() -> None:
    """The host hears which bottle may be spoiled, by how much, and that nobody could see it."""
    found = letter('south', 'host')
    assert "Your bottle of Dunmere lay about" in passage(found, "Bottles")
    assert "no host can see them" in passage(found, "Bottles")
    assert "that bottle left out" in passage(found, "The room")
    assert "open the spare" in found.next_time


def test_completeness_is_counted() -> None:
    """7 of the 8 tasters of a room marked every wine, and 43 of 48 marks came home."""
    told = passage(letter('north', 'host'), "What came home")
    assert "90\u202f% of the marks" in told
    assert "7 of 8\u00a0tasters marked every wine" in told


def test_makers_hear_how_the_wine_was_liked() -> None:
    """A maker's letter has each line, how marks lay, by how many it was liked, and words."""
    found = letter('w0', 'maker')
    assert 5 == len(found.rows)
    assert found.bars is not None
    # 23 tasters count, one of them twice.
    assert 24 == sum(found.bars.counts)
    assert "lemon (23), pear (23)" in passage(found, "In their words")
    assert "place 1" in said(found)


def test_the_lowest_wine_is_not_told_its_place() -> None:
    """Its maker is sent to the report, with no place in the letter."""
    assert "at place" not in said(letter('w5', 'maker'))


def test_file_names_are_safe_and_unique() -> None:
    """Whatever people are called, names are small letters and hyphens, and no two are alike."""
    files = [file.as_posix() for file, _ in with_names(letters()[0])]
    assert len(files) == len(set(files))
    assert {'tasters/ann-abel.pdf', 'tasters/ann-abel-2.pdf', 'tasters/con-2.pdf'} <= {*files}
    assert 'tasters/etc-con.pdf' in files
    assert 'tasters/t04.pdf' in files


def test_letters_are_refused_before_the_reveal(tmp_path: Path) -> None:
    """They say which wine was which, so nothing is written; the way out is named."""
    laid_out(tmp_path, revealed=False)
    with pytest.raises(NotInLedger, match="not revealed yet") as refused:
        command(tmp_path, 'letters', '--into', str(tmp_path / 'out'))
    assert 'halfpoint reveal' in str(refused.value)
    assert not (tmp_path / 'out').exists()


def test_an_unknown_reader_is_refused(tmp_path: Path) -> None:
    """--to knows tasters, hosts and makers, and proposes the nearest."""
    with pytest.raises(UsageError, match="did you mean 'makers'"):
        command(tmp_path, 'letters', '--into', 'out', '--to', 'maker')


def test_nobody_agreed(tmp_path: Path) -> None:
    """Without consent there are hosts' letters only, and the count of who has not agreed."""
    laid_out(tmp_path, agreed=False)
    told = command(tmp_path, 'letters', '--into', str(tmp_path / 'out'))
    assert "3 letters to hosts" in told
    assert "25 tasters have not agreed" in told
    assert not (tmp_path / 'out' / 'tasters').exists()


def test_the_record_of_who_agreed_goes_before_the_file(tmp_path: Path) -> None:
    """Who withdrew or agreed is taken at the last word, called by the name typed at the desk."""
    file = laid_out(tmp_path)
    with DeskStore(file.with_suffix('.desk')) as desk:
        desk.set_name(DISAGREED, "Ada Eight")
    record(file, Consented('t10', letter=True), Consented('t10', letter=False))
    record(file, Consented(DISAGREED, letter=True))
    _, made, unwritten = composed(file, ('taster',), least=5, seed=20)
    names = {each.key: each.name for each in made}
    assert 't10' not in names
    assert "Ada Eight" == names[DISAGREED]
    assert 1 == unwritten.without_consent


def test_a_name_that_may_be_published_is_no_wish_for_a_letter(tmp_path: Path) -> None:
    """Consent to the name gives no letter, and a letter needs no consent to the name."""
    file = laid_out(tmp_path, agreed=False)
    text = file.read_text(encoding='utf-8').replace('letter = false', 'consent = true')
    file.write_text(text, encoding='utf-8')
    record(file, Consented('t11', letter=True))
    _, made, _ = composed(file, ('taster',), least=5, seed=20)
    assert ['t11'] == [each.key for each in made]


def test_who_is_in_no_list_gets_the_letter_they_asked_for(tmp_path: Path) -> None:
    """A taster of the record that no file lists is called by the key of the record."""
    file = laid_out(tmp_path)
    listed = file.read_text(encoding='utf-8').split('[[taster]]')
    file.write_text('[[taster]]'.join(part for part in listed if '"t12"' not in part), 'utf-8')
    record(file, Consented('t12', letter=True), Consented('t77', letter=True))
    _, made, unwritten = composed(file, ('taster',), least=5, seed=20)
    found = next(each for each in made if 't12' == each.key)
    assert "Dear t12," == found.greeting
    assert 6 == len(found.rows)
    assert 't77' not in {each.key for each in made}
    assert 2 == unwritten.without_marks


def test_every_letter_is_one_page_and_listed(tmp_path: Path) -> None:
    """The folder holds a one-page PDF for each line of the list, guarded for spreadsheets."""
    laid_out(tmp_path)
    out = tmp_path / 'out'
    (out / 'tasters').mkdir(parents=True)
    (out / 'tasters' / 'withdrawn.pdf').write_bytes(b'old')
    told = command(tmp_path, 'letters', '--into', str(out), '--to', 'tasters,hosts,makers')
    with (out / 'letters.csv').open(encoding='utf-8', newline='') as file:
        listed = list(csv.DictReader(file))
    assert 23 + 3 + 6 == len(listed)
    assert "'=cmd|x" in {row['name'] for row in listed}
    pages = [text_of((out / row['file']).read_bytes()) for row in listed]
    assert [1] * len(listed) == [len(page) for page in pages]
    assert all("Invented for demonstration" in page[0] for page in pages)
    assert "1 taster has not agreed" in told
    assert 'tasters/withdrawn.pdf' in told
