"""`halfpoint results`: from a table or a record to the result."""

from __future__ import annotations

import csv
import json
from functools import partial
from pathlib import Path

import jsonschema
import numpy as np
import polars as pl
import pypdfium2
import pytest
from tests.cli.marks import CATEGORIES, HEADER, WINES, in_a_shell, results, rows, write

from halfpoint.estimate.weigh import weigh_mark
from halfpoint.publish.export.schema import findings_schema


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in with `marks.csv`."""
    write(tmp_path / 'marks.csv', rows())
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def weigh(capsys, monkeypatch):
    """The command; it must end well."""

    def command(*options: str | Path):
        told = results(capsys, monkeypatch, *options)
        assert 0 == told.code, told.err
        return told

    return command


@pytest.fixture
def found(weigh, folder):
    """The command's JSON."""

    def command(*options: str | Path) -> dict:
        weigh(*options, '--json', 'out.json')
        return json.loads((folder / 'out.json').read_text('utf-8'))

    return command


def totals(table: list[dict[str, str]]) -> pl.DataFrame:
    """The same marks as a frame, added up here."""
    return pl.DataFrame(table).with_columns(
        total=pl.sum_horizontal(pl.col(key).cast(pl.Float64) for key, _ in CATEGORIES),
        position=pl.col('position').cast(pl.Float64),
    )


# What the issue asks of the JSON, item 7.
TOP = {
    'marks', 'tasters', 'sites', 'wines', 'pairs', 'components', 'criterion', 'covariates',
    'connected', 'parts', 'categories', 'held',
}  # fmt: skip
WINE = {
    'wine', 'tasters', 'raw_mean', 'adjusted', 'se', 'df', 'low', 'high', 'shrunken', 'rank_low',
    'rank_high', 'rank_probability', 'p_best', 'letters',
}  # fmt: skip
PAIR = {'a', 'b', 'difference', 'se', 'df', 'p', 'p_adjusted', 'low', 'high'}


def test_json_has_what_was_promised(found) -> None:
    """Every key of the issue is there, the document keeps to its schema, categories too."""
    told = found('marks.csv')
    jsonschema.validate(told, findings_schema())
    assert set() == TOP - told.keys()
    for marks in (told, *told['categories'].values()):
        assert set() == WINE - marks['wines'][0].keys()
        assert set() == PAIR - marks['pairs'][0].keys()
        assert {'taster', 'site', 'bottle', 'residual'} == marks['components'].keys()
        for component in marks['components'].values():
            assert {'variance', 'low', 'high'} == component.keys()
    assert [key for key, _ in CATEGORIES] == list(told['categories'])
    assert (48, 12, 3, True) == tuple(
        told[k] for k in ('marks', 'taster_count', 'sites', 'connected')
    )


def test_json_says_what_the_estimate_says(found) -> None:
    """The total of every row, weighed without the command, gives the same figures."""
    told = found('marks.csv', '--seed', '3')
    expected = weigh_mark(totals(rows()), seed=3)
    assert expected.criterion == pytest.approx(told['criterion'])
    for wine, said in zip(expected.wines, told['wines'], strict=True):
        assert wine.wine == said['wine']
        assert (wine.adjusted, wine.se, wine.p_best) == pytest.approx(
            (said['adjusted'], said['se'], said['p_best'])
        )


def test_json_on_the_terminal_stands_alone(folder, weigh) -> None:
    """`--json -`: JSON alone on standard output, everything said goes to standard error."""
    told = weigh('marks.csv', '--json', '-')
    document = json.loads(told.out)
    assert 48 == document['marks']
    assert 'Dogwood' in told.err
    assert 'marks.csv: 48 pours taken.' in told.err


def test_the_finding_stands_above_the_table(folder, weigh) -> None:
    """The view says in words who is ahead before it shows a figure."""
    told = weigh('marks.csv')
    lines = told.out.splitlines()
    table = next(i for i, line in enumerate(lines) if '95 % interval' in line)
    words = ' '.join(lines[:table])
    assert 'Dogwood' in words
    assert 'ahead' in words
    assert [*sorted(WINES, reverse=True)] == [
        line.split()[0] for line in lines[table + 2 : table + 6]
    ]
    assert '48 marks, 12 tasters, 3 sites' in words.replace('\xa0', ' ')


def test_a_note_is_told_once(folder, weigh) -> None:
    """What the account of the table says is not said again under the result."""
    assert 1 == weigh('marks.csv').out.count("'weather' not used")


def test_csv_has_a_table_for_each_subject(folder, weigh) -> None:
    """A file a subject that there is, with the scores of the JSON."""
    weigh('marks.csv', '--csv', 'tables/deep', '--json', 'out.json')
    into = folder / 'tables' / 'deep'
    names = ('wines', 'pairs', 'components', 'ranks', 'categories', 'covariates', 'held')
    names += ('tasters', 'scale_use', 'panel', 'decisions')
    assert {f'{name}.csv' for name in names} == {path.name for path in into.iterdir()}
    with (into / 'wines.csv').open(encoding='utf-8-sig') as stream:
        wines = list(csv.DictReader(stream))
    said = json.loads(Path('out.json').read_text('utf-8'))['wines']
    assert [w['wine'] for w in said] == [w['wine'] for w in wines]
    assert [w['adjusted'] for w in said] == pytest.approx([float(w['adjusted']) for w in wines])


@pytest.mark.parametrize(('paper', 'size'), [('a4', (595, 842)), ('letter', (612, 792))])
def test_the_report_is_made(folder, weigh, paper, size) -> None:
    """A PDF on the paper asked for (ISO 216; ANSI Y14.1), which names the wines."""
    told = weigh('marks.csv', '--report', 'report.pdf', '--paper', paper)
    assert 'Report: report.pdf' in told.out
    document = pypdfium2.PdfDocument(folder / 'report.pdf')
    assert size == tuple(round(length) for length in document[0].get_size())
    text = ' '.join(page.get_textpage().get_text_range() for page in document)
    assert all(wine in text for wine in WINES)
    document.close()


def test_the_same_command_gives_the_same_bytes(folder, weigh) -> None:
    """JSON and PDF repeat to the last byte."""
    for name in ('one', 'two'):
        weigh('marks.csv', '--json', f'{name}.json', '--report', f'{name}.pdf')
    assert Path('one.json').read_bytes() == Path('two.json').read_bytes()
    assert Path('one.pdf').read_bytes() == Path('two.pdf').read_bytes()


def test_wines_random(found) -> None:
    """Random wines have a component of their own and scores drawn together."""
    fixed, chance = found('marks.csv'), found('marks.csv', '--wines', 'random')
    assert ('fixed', 'random') == (fixed['form'], chance['form'])
    assert set(chance['components']) - set(fixed['components']) == {'wine'}
    scores = [[wine['adjusted'] for wine in told['wines']] for told in (chance, fixed)]
    assert np.ptp(scores[0]) < np.ptp(scores[1])
    shrunken = {w['wine']: w['shrunken'] for w in fixed['wines']}
    assert shrunken == pytest.approx({w['wine']: w['adjusted'] for w in chance['wines']}, abs=1e-4)


@pytest.mark.parametrize(
    ('asked', 'expected'),
    [
        ('taster', ['taster']),
        ('site, taster', ['site', 'taster']),
        ('none', []),
        ('taster,weather:wine', ['taster', 'weather:wine']),
        ('taster,position', ['taster', 'position']),
    ],
)
def test_effects(found, asked, expected) -> None:
    """The random terms named, in that order, among them any column of the table."""
    told = found('marks.csv', '--effects', asked)
    assert expected == told['effects']
    assert {*expected, 'residual'} == told['components'].keys()


def test_position_is_adjusted_for_when_asked(found) -> None:
    """`--covariate position`: one slope with its test; without it a hint that it could be."""
    told = found('marks.csv', '--covariate', 'position')
    (position,) = told['covariates']
    assert ('position', None) == (position['covariate'], position['level'])
    assert position['low'] < position['estimate'] < position['high']
    plain = found('marks.csv')
    assert [] == plain['covariates']
    assert any('--covariate position' in note for note in plain['notes'])


def test_words_as_covariate(found) -> None:
    """A column of words: a level each but the first."""
    told = found('marks.csv', '--covariate', 'weather', '--covariate', 'position')
    assert [('weather', 'wet'), ('position', None)] == [
        (c['covariate'], c['level']) for c in told['covariates']
    ]


def test_map_says_what_a_column_is(found, folder) -> None:
    """A role given to a column of another name, and one taken away."""
    table = [row | {'who': row['taster'], 'glass': row['wine']} for row in rows()]
    header = ('who', 'glass', *HEADER[1:2], *HEADER[3:])
    write(folder / 'odd.csv', table, header=header)
    told = found('odd.csv', '--map', 'taster=who', '--map', 'wine=glass')
    assert found('marks.csv')['criterion'] == pytest.approx(told['criterion'])
    without = found('odd.csv', '--map', 'taster=who', '--map', 'wine=glass', '--map', 'site=')
    assert (0, ['taster']) == (without['sites'], without['effects'])


def test_any_column_can_be_the_mark(found, folder) -> None:
    """Any rater by item table: `--mark`, with any numbers in it."""
    table = [
        {'rater': r['taster'], 'item': r['wine'], 'speed': f'{float(r["aroma"]) * -1e3:g}'}
        for r in rows()
    ]
    write(folder / 'items.csv', table, header=('rater', 'item', 'speed'))
    told = found('items.csv', '--mark', 'speed', '--map', 'taster=rater', '--map', 'wine=item')
    assert ({}, 'speed', None) == (told['categories'], told['label'], told['top'])
    expected = weigh_mark(
        pl.DataFrame(table).select(
            taster='rater', wine='item', total=pl.col('speed').cast(pl.Float64)
        )
    )
    assert expected.criterion == pytest.approx(told['criterion'])


def test_another_sheet(found, folder) -> None:
    """`--sheet liking`: one category, so the total alone."""
    table = [row | {'liking': str(1 + i % 9)} for i, row in enumerate(rows())]
    write(folder / 'liking.csv', table, header=('taster', 'wine', 'liking'))
    told = found('liking.csv', '--sheet', 'liking')
    assert ({}, 9.0) == (told['categories'], told['top'])


def test_a_sheet_of_a_workbook(found, folder) -> None:
    """`book.xlsx#Sheet` names one sheet of a workbook, and the title is the book's."""
    frame = pl.DataFrame(rows())
    import xlsxwriter

    with xlsxwriter.Workbook(folder / 'book.xlsx') as book:
        pl.DataFrame({'note': ['nothing here']}).write_excel(book, 'First')
        frame.write_excel(book, 'Marks')
    told = found('book.xlsx#Marks')
    assert ('book', 48) == (told['title'], told['marks'])
    assert found('marks.csv')['criterion'] == pytest.approx(told['criterion'])


def test_tastings_apart_have_no_joint_order(found, weigh, folder) -> None:
    """Two rooms with wines of their own: parts, each with a result, and words that say why."""
    first, second = WINES[:2], WINES[2:]
    table = [r for r in rows() if (r['taster'] < 'T06') == (r['wine'] in first)]
    write(folder / 'apart.csv', table)
    told = found('apart.csv', '--effects', 'taster')
    assert (False, [list(first), list(second)]) == (
        told['connected'],
        [part['wines'] for part in told['parts']],
    )
    assert [None] * 4 == [wine['adjusted'] for wine in told['wines']]
    assert all(part['result']['pairs'] for part in told['parts'])
    assert 'No chain of tasters links all wines' in weigh('apart.csv').words


def test_held_rows_are_kept_for_mending(found, weigh, folder) -> None:
    """A row off the step is held with its reason, written whole, and comes back mended."""
    table = rows()
    table[5] |= {'taste': '9.5'}
    write(folder / 'bad.csv', table)
    told = found('bad.csv')
    (held,) = told['held']
    assert ('bad.csv', 7, 'taste', '9.5') == tuple(
        held[k] for k in ('file', 'row', 'field', 'found')
    )
    assert (47, '0 to 6 in half points') == (told['marks'], held['expected'])
    kept = (folder / 'held.csv').read_text('utf-8-sig')
    assert f'{table[5]["taster"]},{table[5]["site"]}' in kept
    (folder / 'held.csv').write_text(kept.replace('9.5', '4.5', 1), encoding='utf-8')
    assert 'held-2.csv' in weigh('bad.csv').out
    assert '4.5' in (folder / 'held.csv').read_text('utf-8')
    weigh('bad.csv', '--csv', 'tables')
    assert kept == (folder / 'tables' / 'held.csv').read_text('utf-8-sig')


TASTING = """
[tasting]
key = "leaf"
title = "Leaf fall (invented)"
invented = true
{sites}{wines}{tasters}
"""


@pytest.fixture
def gathered(folder, weigh):
    """A tasting file whose record has the marks."""
    from typer.testing import CliRunner

    from halfpoint.cli.main import app

    entries = {
        'sites': [('site', f'S{i}', f'name = "Room {i}"') for i in range(3)],
        'wines': [('wine', wine.lower(), f'name = "{wine}"') for wine in WINES],
        'tasters': [('taster', f'T{i:02d}', f'site = "S{i % 3}"') for i in range(12)],
    }
    text = {
        kind: ''.join(f'[[{table}]]\nkey = "{key}"\n{more}\n' for table, key, more in given)
        for kind, given in entries.items()
    }
    (folder / 'tasting.toml').write_text(TASTING.format(**text), encoding='utf-8')
    table = [row | {'wine': row['wine'].lower()} for row in rows()]
    table[5] |= {'taste': '9.5'}
    write(folder / 'sent.csv', table)
    runner = partial(CliRunner().invoke, app, catch_exceptions=False)
    assert 0 == runner(['gather', 'tasting.toml', 'sent.csv']).exit_code
    return runner


def test_from_the_record_of_a_tasting(gathered, found) -> None:
    """The tasting's title, names and sheet; what was held; position adjusted for unasked."""
    told = found('tasting.toml')
    assert ('Leaf fall (invented)', True, 47) == (told['title'], told['invented'], told['marks'])
    assert set(WINES) == {wine['wine'] for wine in told['wines']}
    assert {'Room 0', 'Room 1', 'Room 2'} == {bottle['site'] for bottle in told['bottles']}
    assert ['position'] == [c['covariate'] for c in told['covariates']]
    assert [('sent.csv', 7)] == [(held['file'], held['row']) for held in told['held']]


def test_what_was_set_aside_is_left_out(gathered, found) -> None:
    """An entry set aside no longer counts, and the result says by whom and why."""
    words = ['--taster', 'T03', '--who', 'Ida', '--why', 'spilt']
    assert 0 == gathered(['set-aside', 'tasting.toml', *words]).exit_code
    told = found('tasting.toml')
    assert 43 == told['marks']
    asides = [tuple(a[part] for part in ('taster', 'who', 'why')) for a in told['set_aside']]
    assert [('T03', 'Ida', 'spilt')] * 4 == asides


def test_as_a_process_of_its_own(folder) -> None:
    """The installed command: result on standard output, nothing on standard error."""
    told = in_a_shell(folder, 'marks.csv', '--json', 'out.json')
    assert (0, '') == (told.code, told.err)
    assert 'JSON: out.json' in told.out


def test_a_second_look_at_paper_is_told(gathered, found) -> None:
    """How many marks of pages drawn at random were wrong at most, from the record."""
    from halfpoint.ledger.ledger import Ledger
    from halfpoint.ledger.records import Audited

    assert found('tasting.toml')['audit'] is None
    ledger = next(Path().glob('*.ledger'))
    with Ledger.open(ledger, tasting_key='leaf', create=False) as record:
        record.append([Audited((), 7, 300, 1000)], who="Mira")
    told = found('tasting.toml')['audit']

    assert (300, 0, 1000, 0.95) == (
        told['marks'], told['wrong_marks'], told['boxes'], told['confidence'],
    )  # fmt: skip
    assert 1 - 0.05 ** (1 / 300) == pytest.approx(told['marks_below'])


def test_least_leaves_out_what_too_few_marked(folder, weigh) -> None:
    """Below `--least` a wine and a taster have no figures, everywhere, and it is said."""
    told = weigh('marks.csv', '--least', '13', '--json', 'out.json')
    said = json.loads(Path('out.json').read_text('utf-8'))
    assert {None} == {wine['adjusted'] for wine in said['wines']}
    assert 'Fewer than 13 marks, so figures are left out: Ash, Birch, Cedar, Dogwood.' in told.words
    weigh('marks.csv', '--least', '1', '--json', 'out.json')
    said = json.loads(Path('out.json').read_text('utf-8'))
    assert {False} == {taster['withheld'] for taster in said['tasters']}
