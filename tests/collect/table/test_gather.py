"""From a file to entries, held rows and an account."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path

import polars as pl
import pytest
import xlsxwriter

from halfpoint.collect.table.gather import (
    Gathered,
    commonest_reasons,
    nothing_accepted,
    read_marks,
    write_held,
)
from halfpoint.errors import ColumnsNotFound
from halfpoint.sheet.form import Sheet
from halfpoint.tasting.model import Tasting

LONG = """\
Judge;Wine;Room;Order;Appearance;Aroma;Taste;Aftertaste;Overall;Total;Notes
Ann;298;Mill;1;3;4,5;4½;2 1/2;1,5;16;fine
Ben;298;Mill;1;3;4,5;7;2;1,5;;
Cid;511;Mill;2;3;4,5;4;2;1,5;12;
;511;Mill;2;3;4,5;4;2;1,5;;
Dot;511;Mill;2;3;n/a;4;2,2;1,5;;
"""
Reason = tuple[int, str, str, str]


def _reasons(gathered: Gathered) -> list[Reason]:
    return [(row.row, row.field, row.found, row.expected) for row in gathered.held]


def _rows(gathered: Gathered, *columns: str) -> list[tuple[object, ...]]:
    return gathered.entries.select(*columns).rows()


def test_a_long_table_with_a_sheet(write, twenty: Sheet) -> None:
    """Good rows are taken with their total; each other is held for what is wrong with it."""
    gathered = read_marks(write(LONG), sheet=twenty)

    assert [('Ann', '298', 'Mill', 1, 4.5, 2.5, 16.0, 'fine', 2)] == _rows(
        gathered, 'taster', 'wine', 'site', 'position', 'taste', 'aftertaste', 'total',
        'remark', 'row',
    )  # fmt: skip
    assert [
        (3, 'taste', '7', "0 to 6 in half points"),
        (4, 'written_total', '12', "15, the sum of the marks"),
        (5, 'taster', 'nothing', "which taster this is"),
        (6, 'aroma; aftertaste', 'n/a; 2,2', "0 to 6 in half points; 0 to 3 in half points"),
    ] == _reasons(gathered)


def test_the_account_says_what_was_taken_as_what(write, twenty: Sheet) -> None:
    """Each column used is in the account, and each one not used in the notes."""
    gathered = read_marks(write(LONG.replace('Notes', 'Weather')), sheet=twenty)

    taken = {use.column: (use.role, use.how) for use in gathered.account}
    assert ('taster', "a word for it") == taken['Judge']
    assert ('aroma', "by its name") == taken['Aroma']
    assert ("column 'Weather' not used",) == gathered.notes


def test_a_single_mark_needs_no_sheet(write) -> None:
    """Any numeric column can be the mark, whatever its range, as long as it is finite."""
    table = 'rater,item,score\nA,X,-3.25\nB,X,1e3\nC,X,NaN\nD,X,inf\nE,X,\nF,X,2031-05-04\n'

    gathered = read_marks(write(table), sheet=None, mark='Score')

    assert [('A', -3.25), ('B', 1000.0)] == _rows(gathered, 'taster', 'total')
    assert ['NaN', 'inf', 'nothing', '2031-05-04'] == [row.found for row in gathered.held]
    assert "date" in gathered.held[-1].expected


def test_a_single_mark_with_a_sheet_is_judged_by_it(write, short: Sheet) -> None:
    """With a sheet, a single mark is judged as the category it names, or as the total."""
    path = write('taster,wine,aroma,total\nA,X,7,7\nB,X,6,12.5\n')

    as_aroma = read_marks(path, sheet=short, mark='aroma')
    as_total = read_marks(path, sheet=short, mark='total')

    assert [(2, 'aroma', '7', "0 to 6 in half points")] == _reasons(as_aroma)
    assert [(3, 'total', '12.5', "0 to 12 in half points")] == _reasons(as_total)


WIDE: Mapping[str, str] = {
    'colon': 'taster,W1: aroma,W1: taste,W2: aroma,W2: taste\n',
    'space': 'taster,W1 aroma,W1 taste,W2 aroma,W2 taste\n',
    'underscore': 'taster,W1_aroma,W1_taste,W2_aroma,W2_taste\n',
    'after': 'taster,aroma (W1),taste (W1),aroma (W2),taste (W2)\n',
    'other words': 'judge,W1 - nose,W1 - palate,W2 - nose,W2 - palate\n',
    'block above': ',W1,,W2,\ntaster,aroma,taste,aroma,taste\n',
    'block beside': 'taster,W1,,W2,\n,aroma,taste,aroma,taste\n',
    'title above': 'Evening of tasting,,,,\n,W1,,W2,\ntaster,aroma,taste,aroma,taste\n',
}


@pytest.mark.parametrize('header', WIDE.values(), ids=WIDE)
def test_wide_tables(write, short: Sheet, header: str) -> None:
    """A row per taster and a block per wine gives a row per pour; blank blocks are no pours."""
    gathered = read_marks(write(f'{header}Ann,4,5,3,"4,5"\nBen,4,3,,\n'), sheet=short)

    first = header.count('\n') + 1
    assert [
        ('Ann', 'W1', 4.0, 5.0, 9.0, first),
        ('Ann', 'W2', 3.0, 4.5, 7.5, first),
        ('Ben', 'W1', 4.0, 3.0, 7.0, first + 1),
    ] == _rows(gathered, 'taster', 'wine', 'aroma', 'taste', 'total', 'row')
    assert ("1 block left blank: taken as wines not tasted",) == gathered.notes
    assert "wide: the marks of 'W1'" in [use.how for use in gathered.account]


def test_of_a_wide_row_only_the_block_in_doubt_is_held(write, short: Sheet, tmp_path: Path) -> None:
    """The rest of the row goes on; the held block comes back alone."""
    path = write(f'{WIDE["colon"]}Ann,4,5,9,4\n')

    gathered = read_marks(path, sheet=short)
    write_held(gathered.held, tmp_path / 'held.csv')
    mended = (tmp_path / 'held.csv').read_text('utf-8-sig').replace(',9,', ',5,')
    again = read_marks(write(mended, 'mended.csv'), sheet=short)

    assert [('Ann', 'W1')] == _rows(gathered, 'taster', 'wine')
    assert [('Ann', 'W2', 9.0)] == _rows(again, 'taster', 'wine', 'total')


def test_a_map_can_name_the_mark(write) -> None:
    """`--map mark=COLUMN` is as good as `--mark COLUMN`."""
    gathered = read_marks(
        write('userId,itemId,stars\n7,9,3.5\n'), sheet=None, mapping={'mark': 'stars'}
    )

    assert [('7', '9', 3.5)] == _rows(gathered, 'taster', 'wine', 'total')


def test_a_long_table_is_not_taken_for_wide(write, short: Sheet) -> None:
    """Columns of the categories themselves make a table long, whatever else is headed by one."""
    path = write('taster,what,aroma,taste,aroma (again)\nA,X,4,5,4\n')

    with pytest.raises(ColumnsNotFound, match="no column for the wine"):
        read_marks(path, sheet=short)
    mapped = read_marks(path, sheet=short, mapping={'wine': 'what'})
    assert [('X', 9.0)] == _rows(mapped, 'wine', 'total')


def test_a_column_per_wine(write, short: Sheet) -> None:
    """Columns that are wines hold totals, with a sheet or with a name given by --mark."""
    path = write('taster,Hillside,Harbour\nAnn,9,7.5\nBen,13,\n')

    with_sheet = read_marks(path, sheet=short)
    without = read_marks(path, sheet=None, mark='total')

    assert [('Hillside', 9.0), ('Harbour', 7.5)] == _rows(with_sheet, 'wine', 'total')
    assert [(3, 'total', '13', "0 to 12 in half points")] == _reasons(with_sheet)
    assert [('Ann', 9.0), ('Ann', 7.5), ('Ben', 13.0)] == _rows(without, 'taster', 'total')


def test_merged_cells_over_blocks(write, short: Sheet) -> None:
    """A spreadsheet with a wine's name merged over its block is read as wide."""
    data = BytesIO()
    book = xlsxwriter.Workbook(data)
    sheet = book.add_worksheet()
    sheet.merge_range(0, 1, 0, 2, 'Hillside')
    sheet.merge_range(0, 3, 0, 4, 298)
    sheet.write_row(1, 0, ['Taster', 'Aroma', 'Taste', 'Aroma', 'Taste'])
    sheet.write_row(2, 0, ['Ann', 4, 4.5, 3, '4½'])
    book.close()

    gathered = read_marks(write(data.getvalue(), 'marks.xlsx'), sheet=short)

    assert [('Hillside', 8.5), ('298', 7.5)] == _rows(gathered, 'wine', 'total')


def test_numeric_labels_stay_whole(write) -> None:
    """A code written as a number is the text '298', never '298.0'."""
    frame = pl.DataFrame({'taster': [1, 2], 'wine': [298.0, 511.0], 'mark': [4, 5]})
    frame.write_parquet(path := write(b'', 'marks.parquet'))

    gathered = read_marks(path, sheet=None, mark='mark')

    assert [('1', '298', 4.0), ('2', '511', 5.0)] == _rows(gathered, 'taster', 'wine', 'total')


def test_repeats_of_a_single_mark_are_repeated_pours(write) -> None:
    """With nothing to tell two pours apart, repeated rows are further pours, and counted."""
    gathered = read_marks(
        write('taster,wine,mark\nA,X,4\nA,X,4\nA,X,5\nB,X,5\n'), sheet=None, mark='mark'
    )

    assert 4 == gathered.entries.height
    assert ("2 rows repeat a taster and wine: taken as repeated pours",) == gathered.notes


@pytest.mark.parametrize('telling', ['position', 'code', 'replicate'])
def test_repeats_of_a_told_pour_are_held(write, telling: str) -> None:
    """Where a column tells pours apart, a second row of one is held as copy or contradiction."""
    table = f'taster,wine,{telling},mark\nA,X,1,4\nA,X,2,5\nA,X,1,4\nA,X,1,6\n'

    gathered = read_marks(write(table), sheet=None, mark='mark')

    assert [4.0, 5.0] == gathered.entries['total'].to_list()
    assert [(4, "the same as row 2"), (5, "another mark for the pour in row 2")] == [
        (row.row, row.found) for row in gathered.held
    ]


def test_a_held_row_does_not_stand_in_the_way(write, short: Sheet) -> None:
    """The mended copy of a row that is itself held is accepted."""
    gathered = read_marks(
        write('taster,wine,aroma,taste\nA,X,9,4\nA,X,5,4\n'), sheet=short
    )  # fmt: skip

    assert [3] == gathered.entries['row'].to_list()
    assert [2] == [row.row for row in gathered.held]


def test_names_are_matched_to_the_tasting(write, short: Sheet, league: Tasting) -> None:
    """Keys and names of the tasting are known in any case; strangers are held with the nearest."""
    table = (
        'taster,wine,aroma,taste\n ANN  aster,Hillside White,4,5\nben,W2,4,4\ncid,w1,3,3\n'
        'Bem Briar,w1,4,4\nann,Hilside White,4,4\n'
    )

    gathered = read_marks(write(table), sheet=short, tasting=league)

    assert [('ann', 'w1', 'mill'), ('ben', 'w2', 'quay'), ('cid', 'w1', None)] == _rows(
        gathered, 'taster', 'wine', 'site'
    )
    assert [
        (5, 'taster', "'Bem Briar'", "a taster of this tasting; did you mean 'Ben Briar'?"),
        (6, 'wine', "'Hilside White'", "a wine of this tasting; did you mean 'Hillside White'?"),
    ] == _reasons(gathered)


def test_any_taster_may_mark_when_none_are_listed(write, short: Sheet, league: Tasting) -> None:
    """A tasting without a list of tasters takes whoever comes."""
    anyone = league.model_copy(update={'tasters': ()})

    gathered = read_marks(
        write('taster,wine,site,aroma,taste\nZoe,w1,mill,4,5\nYan,w1,barn,4,5\n'),
        sheet=short, tasting=anyone,
    )  # fmt: skip

    assert [('Zoe', 'mill')] == _rows(gathered, 'taster', 'site')
    assert ['site'] == [row.field for row in gathered.held]


def test_ticks_finish_and_further_columns(write, twenty: Sheet) -> None:
    """Terms and faults become keys of the sheet, and unknown ones are held."""
    term = next(iter(twenty.families[0].terms))
    table = (
        'taster,wine,appearance,aroma,taste,aftertaste,overall,terms,finish seconds,price,team\n'
        f'A,X,3,4,4,2,1,{term.label.upper()} ; {term.key},12,8.5,red\n'
        'B,X,3,4,4,2,1,wet socks in spring,12,8.5,red\n'
        'C,X,3,4,4,2,1,,900,8.5,red\n'
        'D,X,3,4,4,2,1,,,,red\n'
    )

    gathered = read_marks(write(table), sheet=twenty, covariates=['price'], extra=['team'])

    assert [([term.key, term.key], 12.0, 8.5, 'red')] == _rows(
        gathered, 'terms', 'finish_seconds', 'price', 'team'
    )
    assert ['terms', 'finish_seconds', 'price'] == [row.field for row in gathered.held]


def test_position_can_be_role_and_covariate(write) -> None:
    """A covariate that is also a role keeps its type, and must be there."""
    path = write('taster,wine,position,mark\nA,X,1,4\nA,Y,,5\nA,Z,1.5,5\n')

    gathered = read_marks(path, sheet=None, mark='mark', covariates=['position'])

    assert [1] == gathered.entries['position'].to_list()
    assert [3, 4] == [row.row for row in gathered.held]


def test_held_rows_can_be_mended_and_fed_back(write, twenty: Sheet, tmp_path: Path) -> None:
    """What write_held writes is a table again, whose own reasons are not read."""
    first = read_marks(write(LONG), sheet=twenty)
    write_held(first.held, tmp_path / 'held.csv')

    unmended = read_marks(tmp_path / 'held.csv', sheet=twenty)
    text = (tmp_path / 'held.csv').read_text('utf-8-sig')
    mended = text.replace(',7,', ',6,').replace(',12,', ',15,').replace('n/a', '4')
    again = read_marks(write(mended.replace('"2,2"', '2'), 'mended.csv'), sheet=twenty)

    assert [row.original for row in first.held] == [row.original for row in unmended.held]
    assert [reason[1:] for reason in _reasons(first)] == [r[1:] for r in _reasons(unmended)]
    assert ['Ben', 'Cid', 'Dot'] == again.entries['taster'].to_list()
    assert {2: ('marks.csv', 3), 3: ('marks.csv', 4), 4: ('marks.csv', 5), 5: ('marks.csv', 6)} == (
        dict(again.origins)
    )


def test_held_rows_keep_every_cell(write, twenty: Sheet, tmp_path: Path) -> None:
    """Nothing of a held row is lost on the way to held.csv (peer: stdlib csv)."""
    gathered = read_marks(write(LONG), sheet=twenty)
    write_held(gathered.held, tmp_path / 'held.csv')

    source = list(csv.DictReader(LONG.splitlines(), delimiter=';'))
    with (tmp_path / 'held.csv').open(encoding='utf-8-sig', newline='') as file:
        held = list(csv.DictReader(file))

    assert [dict(source[int(row['row']) - 2]) for row in held] == [
        {column: row[column] for column in source[0]} for row in held
    ]


def test_when_every_row_is_held_the_reasons_are_counted(write, short: Sheet) -> None:
    """The refusal for an empty harvest gives the commonest reasons first."""
    gathered = read_marks(
        write('taster,wine,aroma,taste\nA,X,9,4\nB,X,8,4\n,X,4,4\n'), sheet=short
    )  # fmt: skip
    refusal = nothing_accepted(gathered.held, gathered.source)

    assert 0 == gathered.entries.height
    assert [("aroma: expected 0 to 6 in half points", 2), (
        "taster: expected which taster this is", 1
    )] == commonest_reasons(gathered.held)  # fmt: skip
    assert 14 == refusal.exit_code
    assert "2 × aroma" in refusal.found


def test_reasons_that_differ_only_by_row_are_counted_as_one(write, twenty: Sheet) -> None:
    """Wrong sums count together, whatever the sums."""
    rows = ''.join(f'T{k},X,3,4,4,2,1,{k}\n' for k in range(3))
    table = f'taster,wine,appearance,aroma,taste,aftertaste,overall,total\n{rows}'

    gathered = read_marks(write(table), sheet=twenty)

    assert [("written total: expected the sum of the marks", 3)] == commonest_reasons(gathered.held)


def test_the_digest_is_that_of_the_file(write) -> None:
    """The SHA-256 is of the bytes as they stand (value from coreutils sha256sum)."""
    gathered = read_marks(write('taster,wine,mark\nA,X,4\n'), sheet=None, mark='mark')

    assert 'd33c5bd508e3889718edb34cebfd650878d43ceefa8ed939ea39aa5268f4b2f5' == gathered.digest
    assert 'marks.csv' == gathered.source


def test_families_and_a_finish_word(write, twenty: Sheet) -> None:
    """As paper has them: families by key or label, one word for the finish; else held."""
    family, band = twenty.families[0], twenty.finish[0].label
    table = (
        'taster,wine,appearance,aroma,taste,aftertaste,overall,families,finish_band\n'
        f'A,X,3,4,4,2,1,{family.label.upper()},{band.upper()}\n'
        'B,X,3,4,4,2,1,,\n'
        'C,X,3,4,4,2,1,wet socks,\n'
        'D,X,3,4,4,2,1,,endless\n'
        f'E,X,3,4,4,2,1,,{band}; {twenty.finish[-1].label}\n'
    )

    gathered = read_marks(write(table), sheet=twenty)

    assert [([family.key], band), ([], '')] == _rows(gathered, 'families', 'finish_band')
    assert ['families', 'finish_band', 'finish_band'] == [row.field for row in gathered.held]
    assert "one of this sheet's aroma families" in gathered.held[0].expected
