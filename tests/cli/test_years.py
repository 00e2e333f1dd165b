"""`halfpoint years`, and results that rest on earlier years."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
from tests.teach.letters.evening import text_of
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.errors import FileNotReadable, HalfpointError, InputError, UsageError

MEMBERS, WINES = 24, 6


def run(*options: object) -> str:
    """What a command says."""
    result = CliRunner().invoke(app, list(map(str, options)), catch_exceptions=False)
    assert 0 == result.exit_code, result.output
    return result.output


def tasting(folder: Path, year: int, severity: np.ndarray, more: str = '') -> Path:
    """A gathered tasting of one year, of members with these levels below the others."""
    folder.mkdir()
    rng = np.random.default_rng(year)
    file = folder / 'tasting.toml'
    rows = [f'[tasting]\nkey = "spring"\ntitle = "Spring {year}"\nopens = {year}-03-01\n{more}']
    rows += [f'[[wine]]\nkey = "w{n}"\nname = "Wine {year}-{n}"' for n in range(WINES)]
    rows += [
        f'[[taster]]\nkey = "t{n}"\nname = "Name{n}"\nmember = "M {n}"\nletter = true'
        for n in range(MEMBERS)
    ]
    file.write_text('\n'.join(rows) + '\n', 'utf-8')
    marks = 14.0 + rng.normal(0, 1, WINES) - severity[:, None]
    marks = np.round(2 * (marks + rng.normal(0, 1.0, (MEMBERS, WINES)))) / 2
    lines = ['taster,wine,appearance,aroma,taste,aftertaste,overall']
    for t in range(MEMBERS):
        for w in range(WINES):
            left, parts = max(0.0, min(20.0, marks[t, w])), []
            for top in (3.0, 6.0, 6.0, 3.0, 2.0):
                parts.append(min(top, left))
                left -= parts[-1]
            lines.append(f't{t},w{w},{",".join(f"{part:g}" for part in parts)}')
    (folder / 'all.csv').write_text('\n'.join(lines), 'utf-8')
    run('gather', file, folder / 'all.csv')
    return file


@pytest.fixture(scope='module')
def society(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three years of the same members, whose levels stay."""
    folder = tmp_path_factory.mktemp('society')
    severity = np.random.default_rng(1).normal(0, 1.2, MEMBERS)
    for year in (2023, 2024, 2025):
        tasting(folder / str(year), year, severity)
    run('years', '--begin', '--society', folder / 'society.key')
    files = [folder / str(year) / 'tasting.toml' for year in (2024, 2023)]
    run('years', *files, '--society', folder / 'society.key', '--json', folder / 'years.json')
    return folder


def test_tastings_are_joined_without_names(society: Path) -> None:
    """In order of days, with members who came again, and no key, member or name in the file."""
    text = (society / 'years.json').read_text('utf-8')
    assert ['2023-03-01', '2024-03-01'] == [y['date'] for y in json.loads(text)['tastings']]
    assert not re.search(r'Name\d|"M \d|"t\d', text)
    key = society / 'society.key'
    said = run('years', society / '2023' / 'tasting.toml', society / '2024' / 'tasting.toml',
               '--society', key)  # fmt: skip
    assert "24 members in all, 24 of them more than once." in said
    assert "How low somebody marks at one tasting goes with the next: correlation 0." in said


def test_results_start_from_the_past_only_when_asked(society: Path, tmp_path: Path) -> None:
    """Severity is surer with the past and scores of wines are as before; the result says so."""
    file, past, alone = society / '2025' / 'tasting.toml', tmp_path / 'p.json', tmp_path / 'a.json'
    run('results', file, '--json', alone)
    asked = ('--years', society / 'years.json', '--society', society / 'society.key')
    assert "start from their own record of 2" in ' '.join(run('results', file, *asked).split())
    run('results', file, *asked, '--json', past)
    one, other = (json.loads(path.read_text('utf-8')) for path in (alone, past))
    assert one['wines'] == other['wines']
    assert any("known are 24 of 24" in note for note in other['notes'])
    assert not any("own record" in note for note in one['notes'])
    widths = [
        [t['severity']['high'] - t['severity']['low'] for t in each['tasters']]
        for each in (one, other)
    ]
    assert all(after < before for before, after in zip(*widths, strict=True))


def test_the_tasting_file_can_ask_for_it(society: Path, tmp_path: Path) -> None:
    """By `years` and `society` in the file, unless --fresh; letters speak of earlier years then."""
    more = f'years = "{society}/years.json"\nsociety = "{society}/society.key"\n'
    severity = np.random.default_rng(1).normal(0, 1.2, MEMBERS)
    file = tasting(tmp_path / 'now', 2026, severity, more)
    run('results', file, '--json', tmp_path / 'now.json')
    run('results', file, '--fresh', '--json', tmp_path / 'fresh.json')
    now, fresh = (json.loads((tmp_path / f'{n}.json').read_text('utf-8')) for n in ('now', 'fresh'))
    assert any("own record" in note for note in now['notes'])
    assert not any("own record" in note for note in fresh['notes'])
    run('reveal', file, '--who', 'Me')
    run('letters', file, '--into', tmp_path / 'letters', '--to', 'tasters')
    pages = [text_of(path.read_bytes()) for path in (tmp_path / 'letters/tasters').glob('*.pdf')]
    assert [1] * MEMBERS == [len(page) for page in pages]
    assert all("At earlier tastings your level was" in page[0] for page in pages)
    with pytest.raises(InputError, match='earlier years already'):
        run('years', tmp_path / 'now.json', '--society', society / 'society.key')


def test_practice_goes_on_from_the_years(society: Path, tmp_path: Path) -> None:
    """With the pseudonym of a member practice starts from their years, and shows them."""
    member = run('years', '--member', 'm 3', '--society', society / 'society.key').strip()
    assert re.fullmatch('member-[a-z2-7]{16}', member)
    result, mine = tmp_path / 'r.json', tmp_path / 'mine.practice'
    run('results', society / '2025' / 'tasting.toml', '--json', result)
    begin = ('practice', mine, '--from', result, '--years', society / 'years.json')
    with pytest.raises(InputError, match="nothing of 'member-x'"):
        run(*begin, '--taster', 'member-x')
    with pytest.raises(UsageError, match='--years alone'):
        run(*begin)
    run(*begin, '--taster', member)
    run('practice', mine, '--wine', 'Wine 2025-1', '--marks', '3 4 4 2 1')
    said = run('practice', mine)
    assert ['2023, at a tasting: ', '2024, at a tasting: '] == [
        line[:20] for line in said.splitlines()[:2]
    ]


def test_another_key_makes_everybody_a_stranger(society: Path, tmp_path: Path) -> None:
    """Without the society's own key nobody is known again, and nothing changes."""
    run('years', '--begin', '--society', tmp_path / 'other.key')
    file = society / '2025' / 'tasting.toml'
    run('results', file, '--years', society / 'years.json', '--society', tmp_path / 'other.key',
        '--json', tmp_path / 'r.json')  # fmt: skip
    told = json.loads((tmp_path / 'r.json').read_text('utf-8'))
    assert any("known are 0 of 24" in note for note in told['notes'])


@pytest.mark.parametrize(
    ('options', 'kind', 'found'),
    [
        (('years',), UsageError, 'no tasting'),
        (('years', 'TASTING', '--begin'), UsageError, '--begin beside tastings'),
        (('years', 'TASTING', '--society', 'none.key'), FileNotReadable, 'years --begin'),
        (('years', 'TASTING', 'TASTING', '--society', 'KEY'), InputError, 'twice'),
        (('results', 'TASTING', '--years', 'YEARS'), UsageError, 'no --society'),
        (('results', 'TASTING', '--society', 'KEY'), UsageError, 'no --years'),
        (('results', 'TASTING', '--years', 'KEY', '--society', 'KEY'), InputError, 'not JSON'),
        (('results', 'TASTING', '--years', 'R', '--society', 'KEY'), InputError, 'no record over'),
    ],
)
def test_what_cannot_be_done_is_refused_in_words(
    society: Path, tmp_path: Path, options: tuple[str, ...], kind: type[HalfpointError], found: str
) -> None:
    """Each says what was found and what was expected."""
    (tmp_path / 'r.json').write_text('{}', 'utf-8')
    names = {
        'TASTING': society / '2023' / 'tasting.toml', 'KEY': society / 'society.key',
        'YEARS': society / 'years.json', 'R': tmp_path / 'r.json',
    }  # fmt: skip
    with pytest.raises(kind) as refusal:
        run(*(names.get(option, option) for option in options))
    assert found in str(refusal.value)
