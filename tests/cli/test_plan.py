"""`halfpoint plan`: the files, the record, and sheets that come back by code."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import jsonschema
import pytest
from typer.testing import CliRunner, Result

from halfpoint.cli.main import app
from halfpoint.errors import HalfpointError, OutputError, TastingFileError, UsageError
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.view import current_entries
from halfpoint.plan.export import plan_from_json
from halfpoint.plan.model import Plan, Pour
from halfpoint.publish.export import plan_schema

TASTING = """
[tasting]
key = "spring"
title = "Spring whites (invented)"
sheet = "liking"
currency = "EUR"
invented = true
[plan]
second_pours = 1
""" + ''.join(
    f'[[wine]]\nkey = "w{n}"\nname = "Wine {n}"\nalcohol = 12.5\nprice = 10\n' for n in range(1, 6)
)  # fmt: skip
SITES = ''.join(f'[[site]]\nkey = "{s}"\nname = "{s.title()}"\nseats = 4\n' for s in ('a', 'b'))
TASTERS = ''.join(
    f'[[taster]]\nkey = "{t}"\nsite = "{s}"\n' for t, s in (('ann', 'a'), ('bob', 'a'), ('cy', 'b'))
)
FILES = ['alcohol.csv', 'balance.csv', 'bottles.csv', 'money.csv', 'plan.json', 'pours.csv']


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a tasting file of five wines, two sites and three tasters."""
    (tmp_path / 'tasting.toml').write_text(TASTING + SITES + TASTERS, encoding='utf-8')
    monkeypatch.chdir(tmp_path)
    return tmp_path


def ask(*words: str) -> Result:
    """What a command does; its refusal is raised."""
    result = CliRunner().invoke(app, words, catch_exceptions=False)
    assert 0 == result.exit_code, result.output
    return result


def plan(*options: str) -> str:
    """What `halfpoint plan` says."""
    return ask('plan', 'tasting.toml', '--into', 'plan', *options).output


def planned() -> Plan:
    """The plan as written."""
    return plan_from_json(Path('plan/plan.json').read_text(encoding='utf-8'))


def of(taster: str) -> list[Pour]:
    """The pours of a taster, in order."""
    return [pour for pour in planned().pours if pour.taster == taster]


def gather(name: str, *rows: str) -> str:
    """Write a table of code and liking, gather it, and give what is said."""
    Path(name).write_text('\n'.join(['taster,code,liking', *rows]), encoding='utf-8')
    return ask('gather', 'tasting.toml', name).output


def test_the_plan_is_written_whole(folder: Path) -> None:
    """Six files, of which the JSON fits its schema and the CSV have a row for each thing."""
    output = plan()

    assert FILES == sorted(path.name for path in (folder / 'plan').iterdir())
    data = json.loads((folder / 'plan/plan.json').read_text(encoding='utf-8'))
    jsonschema.Draft202012Validator(plan_schema()).validate(data)
    with (folder / 'plan/pours.csv').open(encoding='utf-8', newline='') as stream:
        rows = list(csv.DictReader(stream))
    assert [pour['code'] for pour in data['pours']] == [row['code'] for row in rows]
    assert 2 * 4 * 6 == len(rows)
    assert "The plan is in the record now." in output


def test_what_is_said_covers_the_evening(folder: Path) -> None:
    """In words: size, orders, balance, bottles, money, alcohol, and the cautions."""
    output = ' '.join(plan().replace('\u00a0', ' ').split())
    for words in (
        "5 wines, 2 sites, 8 seats; 6 pours a taster, in one flight.",
        "Each taster has a serving order of their own. Every site pours every wine.",
        "Hidden second pours: 1 at each site, of 2 wines in all.",
        "All wines can be compared.",
        "20 bottles in all, 10 of them spare, 200.00 EUR.",
        "30 g a taster: 3.0 standard drinks of 10 g, 2.1 of 14 g.",
        "Spit, drink water and eat; nobody drives afterwards.",
        "legal age",
        "pregnant",
        "local law holds",
    ):
        assert words in output, words


def test_no_code_is_said_aloud(folder: Path) -> None:
    """The terminal never shows a code, so that a look over the shoulder tells nothing."""
    output = plan()
    assert not [pour.code for pour in planned().pours if pour.code in output]


def test_more_than_fifteen_in_an_evening_is_said(folder: Path) -> None:
    """Many wines: the plan is made and says that they are many."""
    more = ''.join(f'[[wine]]\nkey = "x{n}"\nname = "X{n}"\n' for n in range(12))
    text = (folder / 'tasting.toml').read_text(encoding='utf-8') + more
    Path('tasting.toml').write_text(
        text.replace('second_pours = 1', 'capacity = 20'), encoding='utf-8'
    )
    assert "17 pours are more than the 15 or so" in plan()


def test_json_alone_on_standard_output(folder: Path) -> None:
    """With --json - the document can be piped; what is said goes to standard error."""
    result = ask('plan', 'tasting.toml', '--into', 'plan', '--json', '-')
    assert planned() == plan_from_json(result.stdout)
    assert "Balance" in result.stderr


def test_json_goes_to_a_file_as_well(folder: Path) -> None:
    """--json FILE has the same bytes as plan.json."""
    plan('--json', 'copy.json')
    assert (folder / 'plan/plan.json').read_bytes() == (folder / 'copy.json').read_bytes()


def test_planning_again_adds_nothing(folder: Path) -> None:
    """The same file again, another seed even: same bytes, same record."""
    plan()
    before = [(folder / 'plan' / name).read_bytes() for name in FILES]
    head = ask('verify', 'tasting.toml').output
    output = plan('--seed', '77')

    assert "as it is in the record" in output
    assert before == [(folder / 'plan' / name).read_bytes() for name in FILES]
    assert head == ask('verify', 'tasting.toml').output


def test_a_change_keeps_what_is_printed(folder: Path) -> None:
    """A site more: what was planned stays, and the record has both plans."""
    plan()
    before = planned()
    text = Path('tasting.toml').read_text(encoding='utf-8')
    Path('tasting.toml').write_text(f'{text}[[site]]\nkey = "c"\nname = "C"\n', encoding='utf-8')
    output = plan()

    assert before.pours == planned().pours[: len(before.pours)]
    assert "New sites: c." in output
    assert 2 == ask('history', 'tasting.toml').output.count(': planned ')


def test_afresh_draws_anew_until_sheets_are_in(folder: Path) -> None:
    """--afresh keeps nothing; once an entry is there it is refused."""
    plan()
    before = planned()
    plan('--afresh', '--seed', '5')
    assert before.pours != planned().pours
    gather('a.csv', f'ann,{of("ann")[0].code},7')
    with pytest.raises(UsageError, match="sheets are in already"):
        plan('--afresh', '--seed', '6')


def test_sheets_come_home_by_code(folder: Path) -> None:
    """Code and taster are enough: wine, site, position and second pour come from the plan."""
    plan()
    pours = of('ann')
    output = gather('a.csv', *(f'ann,{pour.code},{7}' for pour in pours))

    assert '6 new entries, 0 already there, 0 held' in output
    with Ledger.open(folder / 'tasting.ledger', tasting_key='spring', create=False) as ledger:
        frame = current_entries(ledger.records())
    assert [pour.wine for pour in pours] == frame['wine'].to_list()
    assert [pour.position for pour in pours] == frame['position'].to_list()
    twice = {pour.wine for pour in pours if pour.second_pour}
    expected = [
        ('2' if pour.second_pour else '1') if pour.wine in twice else None for pour in pours
    ]
    assert expected == frame['pour'].to_list()


def test_a_wrong_code_is_held_and_mended(folder: Path) -> None:
    """The likely code is named; mended in held.csv, the row is an entry."""
    plan()
    pours = of('cy')
    pour = pours[2]
    wrong = next(
        text for n in range(1000) if (text := f'{n:03}') not in {p.code for p in planned().pours}
        and sum(a != b for a, b in zip(text, pour.code, strict=True)) == 1
    )  # fmt: skip
    rows = [f'cy,{each.code},6' for each in pours if each is not pour]
    output = gather('b.csv', *rows, f'cy,{wrong},7')
    held = Path('held.csv').read_text(encoding='utf-8-sig')

    assert '5 new entries, 0 already there, 1 held' in output
    assert f"a code poured at b; likely {pour.code} (position 3 for this seat)" in held
    Path('held.csv').write_text(held.replace(f'cy,{wrong}', f'cy,{pour.code}'), encoding='utf-8')
    assert '1 new entry' in ask('gather', 'tasting.toml', 'held.csv').output
    assert not Path('held.csv').exists()


def test_gather_never_names_the_wine_of_a_code(folder: Path) -> None:
    """Neither on the terminal nor in held.csv, contradictions included."""
    plan()
    code = of('ann')[0].code
    output = gather('a.csv', f'ann,{code},7', 'ann,000,5')
    output += gather('b.csv', f'ann,{code},8', 'bob,,5', f'bob,{code},6')
    said = output + Path('held.csv').read_text(encoding='utf-8-sig')
    said += ''.join(path.read_text(encoding='utf-8-sig') for path in folder.glob('held-*.csv'))

    assert '8, where entry' in said
    assert not [wine for n in range(1, 6) for wine in (f'w{n}', f'Wine {n}') if wine in said]


def test_a_contradiction_with_the_right_sheet_can_be_corrected_by_code(folder: Path) -> None:
    """Correcting the code of an entry moves it to the wine behind that code, unnamed."""
    plan()
    first, second, *_ = of('ann')
    gather('a.csv', f'ann,{first.code},7')
    number = ask('history', 'tasting.toml', '--taster', 'ann').output.split()[0]
    change = ('--set', f'code={second.code}', '--who', 'Mira', '--why', "Slip misread")
    output = ask('correct', 'tasting.toml', number, *change).output

    with Ledger.open(folder / 'tasting.ledger', tasting_key='spring', create=False) as ledger:
        frame = current_entries(ledger.records())
    assert [(second.wine, second.position)] == frame.select('wine', 'position').rows()
    assert first.wine not in output
    assert second.wine not in output
    with pytest.raises(UsageError, match="'000'"):
        ask('correct', 'tasting.toml', number, '--set', 'code=000', '--who', 'M', '--why', "x")


BAD = {
    'no wines': (TASTING.split('[[wine]]')[0] + SITES, "wine"),
    'one wine': (TASTING.split('[[wine]]')[0] + '[[wine]]\nkey = "w"\nname = "W"\n', "1 wine"),
    'second pours': (TASTING.replace('pours = 1', 'pours = 9'), "9 second pours"),
    'negative second pours': (TASTING.replace('pours = 1', 'pours = -1'), "-1 second pours"),
    'pinned stranger': (TASTING.replace('[plan]', '[plan]\npinned = ["x"]'), "'x'"),
    'negative bottles': (TASTING + 'bottles = -3\n', "-3"),
    'two sites with one key': (TASTING + SITES + SITES, "'a' again"),
    'capacity 0': (TASTING.replace('[plan]', '[plan]\ncapacity = 0'), "0"),
    'site of capacity 0': (f'{TASTING}{SITES}capacity = 0\n', "0"),
    'pour larger than bottle': (TASTING.replace('[plan]', '[plan]\nbottle_ml = 40'), "no pour"),
    'unknown style': (TASTING.replace('[plan]', '[plan]\nstyle_order = ["pink"]'), "pink"),
    'style twice': (TASTING.replace('[plan]', '[plan]\nstyle_order = ["red", "red"]'), "'red'"),
    'ten thousand wines': (
        TASTING + ''.join(f'[[wine]]\nkey = "x{n}"\nname = "X"\n' for n in range(10_000)),
        "10,005 wines",
    ),
}  # fmt: skip


@pytest.mark.parametrize('case', BAD)
def test_bad_input_is_refused_and_leaves_nothing(folder: Path, case: str) -> None:
    """Each is refused with exit code 15, names what was found, and nothing is written."""
    text, found = BAD[case]
    (folder / 'tasting.toml').write_text(text, encoding='utf-8')
    with pytest.raises(TastingFileError) as refusal:
        plan()
    assert found in str(refusal.value)
    assert 15 == refusal.value.exit_code
    assert ['tasting.toml'] == [path.name for path in folder.iterdir()]


def test_a_file_in_the_way_is_refused_before_the_work(folder: Path) -> None:
    """--into that is a file, and --json that is a folder, end the command at once."""
    (folder / 'plan').write_text('mine', encoding='utf-8')
    with pytest.raises(OutputError, match="is a file"):
        plan()
    (folder / 'plan').unlink()
    with pytest.raises(HalfpointError):
        plan('--json', str(folder))
    assert ['tasting.toml'] == [path.name for path in folder.iterdir()]
