"""What check, history, verify, correct and results say of pages read from paper."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from tests.ledger.paper_sample import (
    HELD,
    POURED,
    Desk,
    arrived,
    look,
    page,
    pour,
    spare,
    tasting,
)
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.errors import LedgerAltered
from halfpoint.ledger.audit import record_audit
from halfpoint.ledger.paper import Asked
from halfpoint.ledger.pictures import keep_picture, picture_path
from halfpoint.ledger.records import Planned, Revealed, WrongReading

CODE_LOOK = (look('code', 'written'),)
TOML = """
[tasting]
key = "spring"
title = "Spring"
""" + ''.join(
    [*(f'[[wine]]\nkey = "w{n}"\nname = "Wine {n}"\n' for n in (1, 2, 3)),
     *(f'[[site]]\nkey = "{s}"\nname = "{s.title()}"\n' for s in ('north', 'south')),
     *(f'[[taster]]\nkey = "{t}"\nsite = "north"\n' for t in ('ann', 'bob'))]
)  # fmt: skip


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    """A record with a plan, and a page of which one block waits."""
    (tmp_path / 'tasting.toml').write_text(TOML, encoding='utf-8')
    monkeypatch.chdir(tmp_path)
    with Desk(tmp_path) as desk:
        plan = {'pours': [{'site': 'north'}]}
        desk.ledger.append([Planned(plan)], who="Mira")
        picture = keep_picture(tasting(tmp_path).ledger, b'a picture')
        doubtful = pour(1, marks={'aroma': None, 'taste': None})
        desk.take(replace(arrived(page(doubtful, pour(2))), picture=picture))
        yield desk


def run(*command: str) -> str:
    """What a command says; its refusal is raised."""
    result = CliRunner().invoke(
        app, [command[0], 'tasting.toml', *command[1:]], catch_exceptions=False
    )
    assert 0 == result.exit_code, result.output
    return result.output


def test_check_says_what_waits_and_how_to_go_on(desk: Desk) -> None:
    """Doubtful marks, pictures to choose between and held pages, with the next command."""
    desk.take(arrived(page(pour(1), pour(2)), 2), arrived(HELD, 3))
    said = run('check')

    assert "On paper (3)" in said
    assert "2 doubtful marks need a look, on 1 page: halfpoint read tasting.toml --review" in said
    assert "1 page has another picture that says something else" in said
    assert "scan.pdf, page 3: a page so bent; scan it again (held page 6)" in said
    data = json.loads(run('check', '--json'))['paper']
    assert (1, 2, 1, [5]) == (
        data['pages'], data['doubtful_marks'], data['doubtful_pages'], data['other_pictures'],
    )  # fmt: skip
    assert ('bent', 6) == (data['held'][0]['reason'], data['held'][0]['held'])


def test_check_is_silent_about_paper_when_nothing_waits(desk: Desk) -> None:
    """All decided: no heading, and a held page may be set aside."""
    for name in ('aroma', 'taste'):
        desk.decide(Asked(3, 1, name), 4.0)
    desk.take(arrived(HELD, 3))
    run('set-aside', '--held', str(max(desk.state.papers.pages)), '--who', 'M', '--why', 'blank')

    assert "On paper" not in run('check')


def test_history_tells_of_paper_in_words(desk: Desk) -> None:
    """Pages, decisions, choices and second looks, in the order in which they happened."""
    for name in ('aroma', 'taste'):
        desk.decide(Asked(3, 1, name), 4.5)
    desk.take(arrived(page(pour(1), pour(2, marks={'aroma': 1.0})), 2), arrived(HELD, 3))
    desk.take(arrived(page(pour(1), pour(2, marks={'aroma': 1.0})), 4))
    desk.prefer(8, 3)
    desk.decide(Asked(8, 2, 'term', 'lemon'), 1)
    wrong = [WrongReading(8, 2, 'aroma', truth=5.0)]
    record_audit(desk.ledger, desk.tasting, POURED, [8], wrong, seed=7, who="Mira")
    said = [line.split('Mira: ', 1)[1] for line in run('history').splitlines()[2:]]

    assert [
        "read scan.pdf, page 1: north, seat 1, sheet 1; 2 marks need a look",
        "looked at record 3, block 1, aroma: 4½",
        "looked at record 3, block 1, taste: 4½",
        "read scan.pdf, page 2: north, seat 1, sheet 1; another picture of the page in record 3",
        "held scan.pdf, page 3: a page so bent; expected a page that lies flat",
        "read scan.pdf, page 4: north, seat 1, sheet 1; another picture of the page in record 3",
        "chose the picture in record 8 over that in 3",
    ] == said[:7]
    assert "looked at record 8, block 2, term lemon: ticked" in said
    assert any(line.startswith("looked at 1 page a second time: 10 marks, ") for line in said)
    assert any(line.endswith("1 read wrongly") for line in said)


def test_history_of_an_entry_has_its_page_and_decisions(desk: Desk) -> None:
    """And those on another picture of it that was chosen; of other blocks nothing."""
    for name in ('aroma', 'taste'):
        desk.decide(Asked(3, 1, name), 4.5)
    (made,) = (n for n, e in desk.state.entries.items() if e.now.code == '101')
    again = page(pour(1, marks={'aroma': 1.0}), pour(2, looks=(look('taste'),)))
    desk.take(arrived(again, 2))
    other = max(desk.state.papers.pages)
    desk.prefer(other, 3)
    desk.decide(Asked(other, 2, 'taste'), 1.0)
    desk.decide(Asked(other, 1, 'taste'), 2.0)
    told = json.loads(run('history', '--entry', str(made), '--json'))

    assert [
        'page', 'decision', 'decision', 'entry', 'page', 'preferred', 'correction', 'decision',
        'correction',
    ] == [each['kind'] for each in told]  # fmt: skip
    assert 'page' in [
        each['kind'] for each in json.loads(run('history', '--taster', 'ann', '--json'))
    ]


def test_nothing_told_before_the_reveal_joins_code_and_wine(desk: Desk) -> None:
    """A code read by eye and one corrected are told without digits until the reveal."""
    desk.take(arrived(spare(pour(1, '', looks=CODE_LOOK)), 2))
    number = max(desk.state.papers.pages)
    desk.decide(Asked(number, 0, 'seat'), '2')
    (made,) = desk.decide(Asked(number, 1, 'code'), '303').entries
    desk.decide(Asked(number, 1, 'code'), '202')
    said = run('history', '--entry', str(made)) + run('history', '--entry', str(made), '--json')

    assert "code: told by eye" in said
    assert "code another" in said
    assert not {'202', '303'} & set(said.replace(';', ' ').replace('.', ' ').split())
    desk.ledger.append([Revealed()], who="Mira")
    assert "code 303 → 202" in run('history', '--entry', str(made))


def test_verify_looks_at_the_pictures_too(desk: Desk) -> None:
    """All as kept; one that is gone is refused with its scan and page."""
    assert "1 picture of pages, as kept." in run('verify')
    picture_path(desk.tasting.ledger, desk.state.papers.pages[3].page.picture).unlink()
    told = CliRunner().invoke(app, ['verify', 'tasting.toml'])

    assert isinstance(told.exception, LedgerAltered)
    assert "1 picture is missing and 0 altered, of 1" in str(told.exception)
    assert "scan.pdf, page 1" in str(told.exception)
    assert "every record holds" in str(told.exception)


def test_what_only_paper_says_can_be_corrected(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Families parted by commas, and the word for the finish; nothing takes it away."""
    (tmp_path / 'tasting.toml').write_text(TOML, encoding='utf-8')
    monkeypatch.chdir(tmp_path)
    with Desk(tmp_path) as desk:
        (number,) = desk.take(arrived(page(pour(1)))).entries
        change = ('correct', str(number), '--who', 'M', '--why', 'misread')
        said = run(*change, '--set', 'families=Stone and earth', '--set', 'finish_band=long')
        gone = run(*change, '--set', 'band=')
        now = desk.afresh().entries[number].now

    assert "families: stone (was nothing)" in said
    assert "finish band: long (was nothing)" in said
    assert "finish band: nothing (was long)" in gone
    assert (('stone',), '') == (now.families, now.finish_band)
