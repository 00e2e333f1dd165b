"""`halfpoint power`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from typer.testing import CliRunner, Result

from halfpoint.cli.main import app
from halfpoint.demo.write import write_demo
from halfpoint.errors import (
    HalfpointError,
    InputError,
    OutputError,
    TastingFileError,
    UsageError,
)
from halfpoint.publish.export.power import MEANINGS, power_schema

FILE = """
[tasting]
key = "small"
title = "Small tasting"
{more}
{wines}
{sites}
"""


def run(*options: str) -> Result:
    """The command with these options."""
    return CliRunner().invoke(app, ['power', *options], catch_exceptions=False)


def written(folder: Path, more: str = '', wines: int = 6, sites: int = 4) -> str:
    """A tasting file in a folder."""
    path = folder / 'tasting.toml'
    text = FILE.format(
        more=more,
        wines='\n'.join(f'[[wine]]\nkey = "w{n}"\nname = "Wine {n}"' for n in range(wines)),
        sites='\n'.join(f'[[site]]\nkey = "s{n}"\nname = "Room {n}"' for n in range(sites)),
    )
    path.write_text(text, 'utf-8')
    return str(path)


def data(*options: str) -> dict[str, object]:
    """The JSON of the command, held against its schema."""
    found = json.loads(run(*options, '--json', '-').stdout)
    Draft202012Validator(power_schema()).validate(found)
    return found


def test_the_finding_comes_first_in_words() -> None:
    """By hand: var 2(0.16/25 + 2.25/250) = 0.0308, d/se = 2.849, 168 degrees: 0.81."""
    first, second, *_ = run('--sites', '25', '--tasters', '10').output.splitlines()
    said = (
        "With 25 sites of 10 tasters two wines 0.5 points apart would be told apart 8 times in 10."
    )
    assert said == first
    assert "Least difference told apart 8 times in 10: 0.49 points." == second


def test_what_would_be_enough_is_said() -> None:
    """Where it is not enough, sites and tasters that are; also where no tasters are."""
    assert "it takes 25 sites of 10; at 12 sites it takes 86 each." in run().output
    output = run('--sites', '4').output
    assert "at 4 sites no number of tasters is enough." in output


def test_the_stricter_way_of_asking_is_said_beside_it() -> None:
    """All pairs at once, or two wines chosen before: the other one is named too."""
    assert "Asked of all 28 pairs at once, as the report does: 1 time in 10" in run().output
    output = run('--all-pairs').output
    assert "told apart 1 time in 10, all 28 pairs being asked at once." in output
    assert "For two wines chosen before the tasting: 5 times in 10" in output


def test_the_table_has_the_numbers_of_the_json() -> None:
    """Tasters by sites: power and least difference."""
    found = data()
    middle = next(p for p in found['curve'] if (p['sites'], p['tasters']) == (12, 10))
    assert middle['power'] == pytest.approx(found['power'])
    assert 25 == len(found['curve'])
    row = next(line for line in run().output.splitlines() if line.startswith("10 each"))
    assert f"{100 * middle['power']:.0f} %  {middle['detectable']:.2f}" in row


def test_the_json_stands_alone_on_standard_output() -> None:
    """Words go to standard error, and the figures follow from the assumed variances."""
    found = data('--sites', '5', '--tasters', '4', '--bottle-sd', '0.5', '--residual-sd', '2')
    assert found['standard_error'] == pytest.approx((2 * (0.25 / 5 + 4 / 20)) ** 0.5)
    assert found['degrees_of_freedom'] == pytest.approx(4 * 7)
    sources = {name: part['source'] for name, part in found['components'].items()}
    expected = {'taster': 'default', 'site': 'default', 'bottle': 'option', 'residual': 'option'}
    assert expected == sources


def test_every_field_of_the_json_is_explained() -> None:
    """The reference page has words for each."""
    schema = power_schema()
    shapes = [schema, *schema['$defs'].values()]
    names = {name for shape in shapes for name in shape['properties']}
    assert names == {name.rpartition('.')[2] for name in MEANINGS}


def test_a_tasting_file_brings_its_own_plan(tmp_path: Path) -> None:
    """Sites, seats, wines, second pours and assumed variances are the file's."""
    more = '[plan]\nseats = 7\nsecond_pours = 2\nassumed = { bottle = 0.25 }\n'
    path = written(tmp_path, more)
    found = data(path)
    numbers = [found[name] for name in ('title', 'sites', 'tasters', 'wines')]
    assert ['Small tasting', 4, 28, 6] == numbers
    assert 'tasting file' == found['components']['bottle']['source']
    assert found['worst_pair']['se'] >= found['best_pair']['se']
    once = data(written(tmp_path, more.replace('second_pours = 2', 'second_pours = 0')))
    assert found['standard_error'] < once['standard_error']


def test_options_stand_in_for_the_file(tmp_path: Path) -> None:
    """--sites and --tasters ask what other numbers would give."""
    found = data(written(tmp_path), '--sites', '9', '--tasters', '3')
    assert (9, 27, 6) == (found['sites'], found['tasters'], found['wines'])


def test_an_incomplete_plan_is_taken_site_by_site(tmp_path: Path) -> None:
    """Seven wines over seven sites of three: balanced blocks, every pair alike."""
    path = written(tmp_path, '[plan]\ncapacity = 3\n', wines=7, sites=7)
    found = data(path)
    assert (3, 3) == (found['fewest_wines_at_a_site'], found['most_wines_at_a_site'])
    assert found['worst_pair'] == found['best_pair']
    even = data('--sites', '7', '--tasters', '10', '--wines', '7', '--each', '3')
    assert found['standard_error'] == pytest.approx(even['standard_error'])
    assert "7 wines, 3 at each site" in run(path).output


def test_unlike_pairs_are_said(tmp_path: Path) -> None:
    """Six wines over five sites of four cannot be even."""
    path = written(tmp_path, '[plan]\ncapacity = 4\n', wines=6, sites=5)
    assert "Not every pair is compared as well" in run(path).output


def test_a_past_tasting_gives_the_variances(tmp_path: Path) -> None:
    """From the record of the invented tasting, whose bottles differ by about 0.4 points."""
    tasting_file, *sheets = write_demo(tmp_path / 'demo', seed=1)
    CliRunner().invoke(app, ['gather', str(tasting_file), *map(str, sheets)])
    found = data('--from', str(tasting_file), '--residual-sd', '1.4')
    components = found['components']
    assert 0.25 < components['bottle']['sd'] < 0.6
    assert ['past tasting'] * 3 == [components[n]['source'] for n in ('taster', 'site', 'bottle')]
    assert (1.4, 'option') == (
        pytest.approx(components['residual']['sd']), components['residual']['source'],
    )  # fmt: skip


def test_a_past_table_without_sites_says_what_is_missing(tmp_path: Path) -> None:
    """What it cannot show is taken from the defaults, and that is said."""
    table = tmp_path / 'marks.csv'
    rows = [
        f't{t},w{w},{12 + (t % 3) + w + ((t * 7 + w * 5) % 4) / 2}'
        for t in range(9)
        for w in range(4)
    ]
    table.write_text('\n'.join(['taster,wine,total', *rows]), 'utf-8')
    found = data('--from', str(table), '--mark', 'total')
    assert 'default' == found['components']['bottle']['source']
    assert ["marks does not tell what site and bottle add, so that is not from there."] == found[
        'notes'
    ]


def test_simulated_tastings_stand_beside_the_formula() -> None:
    """Counts, their error, and the formula's power."""
    options = ('--sites', '4', '--tasters', '5', '--wines', '4', '--difference', '2')
    found = data(*options, '--simulate', '40')['simulation']
    assert (40, 40) == (found['tastings'], found['fitted'])
    assert found['share'] == pytest.approx(found['told'] / 40)
    assert abs(found['share'] - found['formula']) < 0.35
    output = run(*options, '--simulate', '40').output
    assert f"Simulated: told apart in {found['told']} of 40 tastings" in output


def test_incomplete_and_strict_tastings_are_simulated_too() -> None:
    """Like sites share the wines out by search; all pairs are asked at once."""
    options = ('--sites', '5', '--tasters', '4', '--wines', '5', '--each', '4', '--all-pairs')
    found = data(*options, '--difference', '4', '--simulate', '10')['simulation']
    assert 10 == found['fitted']
    assert found['told'] >= 5


@pytest.mark.parametrize(
    ('ending', 'start'), [('svg', b'<svg'), ('png', b'\x89PNG'), ('pdf', b'%PDF')]
)
def test_the_chart_is_drawn(tmp_path: Path, ending: str, start: bytes) -> None:
    """As SVG, PNG or PDF by the ending of its name."""
    path = tmp_path / f'power.{ending}'
    run('--chart', str(path))
    assert path.read_bytes().startswith(start)


def test_the_chart_tells_lines_apart_by_words(tmp_path: Path) -> None:
    """Every line and row is named, and the ruler is in points."""
    path = tmp_path / 'power.svg'
    run('--chart', str(path), '--difference', '1')
    text = path.read_text('utf-8')
    for words in ("5 tasters at each", "20 tasters at each", "however many", "12 sites",
                  "How often two wines 1 point apart are told apart", "½"):  # fmt: skip
        assert words in text


def test_one_room_can_ask_about_its_own_bottles() -> None:
    """Without a bottle variance one site will do, and the chart can begin there."""
    found = data('--sites', '1', '--tasters', '12', '--bottle-sd', '0')
    assert found['degrees_of_freedom'] == pytest.approx(11 * 7)
    assert 1 == min(point['sites'] for point in found['curve'])


@pytest.mark.parametrize(
    ('options', 'refusal', 'words'),
    [
        (('--sites', '0'), UsageError, '--sites'),
        (('--sites', '-4'), UsageError, '--sites'),
        (('--sites', '10001'), UsageError, '--sites'),
        (('--tasters', '0'), UsageError, '--tasters'),
        (('--tasters', '99999999999999999999'), UsageError, '--tasters'),
        (('--wines', '1'), UsageError, '--wines'),
        (('--each', '1'), UsageError, '--each'),
        (('--each', '9'), UsageError, '9 of 8 wines'),
        (('--sites', '3', '--wines', '20', '--each', '3'), UsageError, 'nearest: 10 sites'),
        (('--difference', '0'), UsageError, '--difference'),
        (('--difference', '-1'), UsageError, '--difference'),
        (('--difference', 'nan'), UsageError, '--difference'),
        (('--difference', '1e300'), UsageError, '--difference'),
        (('--power', '1'), UsageError, '--power'),
        (('--power', '0.01'), UsageError, '--power'),
        (('--power', '80'), UsageError, 'write 0.8 for 80 %'),
        (('--alpha', '0'), UsageError, '--alpha'),
        (('--sites', '1'), UsageError, 'bottle cannot be told apart'),
        (('--sites', '1', '--tasters', '1', '--bottle-sd', '0'), UsageError, 'one taster'),
        (('--residual-sd', '0'), UsageError, '--residual-sd'),
        (('--bottle-sd', '-0.5'), UsageError, '--bottle-sd'),
        (('--taster-sd', 'inf'), UsageError, '--taster-sd'),
        (('--taster-sd', '1e5'), UsageError, '--taster-sd'),
        (('--mark', 'total'), UsageError, '--from'),
        (('--simulate', '0'), UsageError, '--simulate'),
        (
            ('--sites', '9999', '--tasters', '999', '--simulate', '1'),
            UsageError,
            '79,912,008 marks',
        ),
        (('--chart', 'power.gif'), UsageError, 'svg, .png or .pdf'),
        (('--json', 'a.svg', '--chart', 'a.svg'), UsageError, 'a file of its own'),
        (('--json', '.'), OutputError, '. is a folder'),
        (('--chart', 'nowhere/power.svg'), OutputError, 'no folder nowhere'),
    ],
)
def test_impossible_requests_are_refused(
    options: tuple[str, ...], refusal: type[HalfpointError], words: str
) -> None:
    """Each says which option, what was found, and what was expected."""
    with pytest.raises(refusal) as refused:
        run(*options)
    assert words in str(refused.value)


def test_a_tasting_file_with_one_site_is_refused(tmp_path: Path) -> None:
    """It says that a wine and its bottle cannot be told apart, and how to ask all the same."""
    path = written(tmp_path, sites=1)
    with pytest.raises(TastingFileError, match='--bottle-sd 0') as refused:
        run(path)
    assert '[[site]]' in refused.value.where
    assert 0 == run(path, '--bottle-sd', '0').exit_code


def past_result(title: str, times: float, top: float = 20.0) -> dict[str, object]:
    """The result of a past tasting, as far as power reads it."""
    sizes = {'taster': 1.0, 'bottle': 0.4, 'residual': 1.5}
    parts = {
        name: {
            'variance': (sd * times) ** 2,
            'low': (sd * times * 0.8) ** 2,
            'high': (sd * times * 1.2) ** 2,
        }
        for name, sd in sizes.items()
    }
    site = {'variance': 0.0, 'low': 0.0, 'high': 0.04 * times}
    return {'title': title, 'top': top, 'components': {**parts, 'site': site}, 'pairs': []}


@pytest.fixture
def three_years(tmp_path: Path) -> list[str]:
    """Options that name three past results."""
    options = []
    for year, times in ((2023, 0.9), (2024, 1.0), (2025, 1.1)):
        path = tmp_path / f'{year}.json'
        path.write_text(json.dumps(past_result(f'Year {year}', times)), 'utf-8')
        options += ['--from', str(path)]
    return options


def test_past_results_are_taken_together(three_years: list[str]) -> None:
    """What each showed, what they say together, how sure, and what that does to the finding."""
    found = data(*three_years)
    residual, site = found['components']['residual'], found['components']['site']
    assert 'past tasting' == residual['source']
    # Errors go with the size, so that the smaller weigh a little more.
    assert 1.44 < residual['sd'] < 1.5
    assert residual['low'] < 1.35
    assert residual['high'] > 1.65
    assert [1.35, 1.5, 1.65] == pytest.approx([one['sd'] for one in residual['seen']])
    errors = [one['se'] for one in residual['seen']]
    assert [1.5 * t * 0.4 / (2 * 1.96) for t in (0.9, 1.0, 1.1)] == pytest.approx(errors, rel=1e-3)
    assert (0.0, 0.0) == (site['sd'], site['low'])
    assert 0.0 < site['high'] < 0.2
    assert found['if_more']['power'] < found['power'] < found['if_less']['power']
    output = run(*three_years).output
    assert "(from 3 past tastings; the next may have " in output
    assert "Should the next tasting vary as much as the past ones allow: " in output
    line = next(line for line in output.splitlines() if line.startswith("  Year 2024: "))
    assert "taster 1.00 ± 0.10" in line
    assert "residual 1.50 ± 0.15" in line


def test_what_past_tastings_said_can_be_kept(tmp_path: Path, three_years: list[str]) -> None:
    """The line for the tasting file is understood there, and gives the same outlook."""
    output = run(*three_years).output
    line = next(line for line in output.splitlines() if line.startswith("  assumed = "))
    kept = data(written(tmp_path, f'[plan]\n{line}\n', wines=8), '--sites', '12')
    assert data(*three_years)['power'] == pytest.approx(kept['power'], abs=0.01)
    assert ['tasting file'] * 4 == [one['source'] for one in kept['components'].values()]


def test_past_tastings_of_one_name_are_told_apart(tmp_path: Path) -> None:
    """Their files tell them apart."""
    options = []
    for name, times in (('old', 0.9), ('new', 1.0)):
        (tmp_path / f'{name}.json').write_text(json.dumps(past_result('Spring', times)), 'utf-8')
        options += ['--from', str(tmp_path / f'{name}.json')]
    seen = data(*options)['components']['taster']['seen']
    assert ['Spring (old)', 'Spring (new)'] == [one['title'] for one in seen]


def test_more_past_tastings_make_surer(three_years: list[str]) -> None:
    """The range that three leave for the next is narrower than that of one; an option closes it."""
    one = data(*three_years[2:4])['components']['residual']
    three = data(*three_years)['components']['residual']
    assert 1.5 == pytest.approx(one['sd'])
    assert three['high'] - three['low'] < one['high'] - one['low']
    given = data(*three_years, '--residual-sd', '2')['components']['residual']
    assert ('option', None, []) == (given['source'], given['low'], given['seen'])


def test_past_results_that_do_not_fit_are_refused(tmp_path: Path, three_years: list[str]) -> None:
    """One twice, another scale, no result, one whose wines were not linked: each in words."""
    with pytest.raises(UsageError, match='the same tasting twice'):
        run(*three_years, *three_years[:2])
    other = tmp_path / 'other.json'
    other.write_text(json.dumps(past_result('Hundred', 5.0, top=100.0)), 'utf-8')
    with pytest.raises(InputError, match='several scales'):
        run(*three_years, '--from', str(other))
    with pytest.raises(InputError, match='several scales'):
        run(written(tmp_path), '--from', str(other))
    other.write_text('{"wines": []}', 'utf-8')
    with pytest.raises(InputError, match='not the result of a tasting'):
        run('--from', str(other))
    other.write_text(json.dumps(past_result('x', 1.0) | {'components': {}}), 'utf-8')
    with pytest.raises(InputError, match='does not say how much marks vary'):
        run('--from', str(other))
    other.write_text(json.dumps(past_result('x', float('nan'))), 'utf-8')
    with pytest.raises(InputError, match='cannot be read'):
        run('--from', str(other))
