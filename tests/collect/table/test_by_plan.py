"""Tables held against the plan: a code tells its wine, and what was not planned is held."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from tests.collect.table.conftest import Write

from halfpoint.collect.table.gather import Gathered, read_marks
from halfpoint.collect.table.poured import PlannedPour, Poured
from halfpoint.sheet.form import Sheet
from halfpoint.tasting.model import Tasting, Wine

# Site mill: w1 as 483 and hidden again as 729, w2 as 561; site quay: w1 alone, as 561.
MILL = (('483', 'w1', False), ('561', 'w2', False), ('729', 'w1', True))
PLAN = Poured.by_plan(
    [
        *(PlannedPour('mill', 'ann', n, *each) for n, each in enumerate(MILL, 1)),
        *(PlannedPour('mill', None, n, *each) for n, each in enumerate(reversed(MILL), 1)),
        PlannedPour('quay', 'ben', 1, '561', 'w1', False),
    ]
)
HEAD = 'taster,site,code,aroma,taste\n'


@pytest.fixture
def read(write: Write, short: Sheet, league: Tasting) -> Any:
    """Read text as a table, with the plan unless told otherwise."""

    def read_text(text: str, poured: Poured | None = PLAN, **others: Any) -> Gathered:
        path: Path = write(text)
        asked = {'sheet': short, 'tasting': league, 'poured': poured, **others}
        return read_marks(path, **asked)

    return read_text


def told(gathered: Gathered) -> list[tuple[Any, ...]]:
    """Wine, position, code and pour of each entry."""
    rows = gathered.entries.iter_rows(named=True)
    return [(r['wine'], r.get('position'), r.get('code'), r.get('pour')) for r in rows]


def why(gathered: Gathered) -> list[tuple[str, str, str]]:
    """Field, found and expected of each held row."""
    return [(row.field, row.found, row.expected) for row in gathered.held]


def test_a_code_tells_wine_position_and_pour(read: Any) -> None:
    """Without a wine column, code and site find the wine; the seat tells the position."""
    gathered = read(HEAD + 'ann,mill,483,4,4\nann,mill,561,3,3\nann,mill,729,5,5\n')

    expected = [('w1', 1, '483', '1'), ('w2', 2, '561', None), ('w1', 3, '729', '2')]
    assert expected == told(gathered)
    assert () == gathered.held


def test_the_same_code_is_another_wine_at_another_site(read: Any) -> None:
    """The site decides; it is known from the taster where no column says it."""
    gathered = read('taster,code,aroma,taste\nann,561,4,4\nben,561,3,3\n')
    assert ['w2', 'w1'] == gathered.entries['wine'].cast(str).to_list()


def test_codes_in_the_wine_column_are_codes(read: Any) -> None:
    """People write the code where the wine should stand; three digits that are no wine are it."""
    gathered = read('taster,site,sample,aroma,taste\nann,mill,483,4,4\nann,mill,w2,3,3\n')
    assert [('w1', 1, '483', '1'), ('w2', 2, None, None)] == told(gathered)


def test_a_wine_whose_key_is_three_digits_stays_a_wine(read: Any, league: Tasting) -> None:
    """A key of the tasting file wins over a code."""
    wines = (Wine(key='483', name="Numbered"), *league.wines)
    file = league.model_copy(update={'wines': wines})
    held = why(read('taster,site,wine,aroma,taste\nann,mill,483,4,4\n', tasting=file))
    assert [('wine', "'483'", "a wine that the plan pours at mill")] == held


def test_blocks_may_be_headed_by_codes(read: Any) -> None:
    """A wide table with a block for each code is read by row's own site."""
    gathered = read('taster,561: aroma,561: taste,483: aroma,483: taste\nann,4,4,3,3\nben,5,5,,\n')
    assert [('w2', 2), ('w1', 1), ('w1', 1)] == [each[:2] for each in told(gathered)]


def test_columns_of_one_mark_may_be_headed_by_codes(read: Any) -> None:
    """A column for each code, holding the total."""
    gathered = read('taster,483,561,729\nann,8,6,9\n', mark='total')
    assert [('w1', 1), ('w2', 2), ('w1', 3)] == [each[:2] for each in told(gathered)]


@pytest.mark.parametrize(
    ('row', 'likely'),
    [
        ('ann,mill,438,4,4', "; likely 483 (position 1 for this seat)"),
        ('ann,mill,728,4,4', "; likely 729 (position 3 for this seat)"),
        ('cid,mill,562,4,4', "; likely 561"),
        ('ann,mill,000,4,4', ""),
        ('ann,mill,ab,4,4', ""),
        ('ben,quay,483,4,4', ""),
    ],
)
def test_a_code_never_poured_is_held_with_the_likely_one(read: Any, row: str, likely: str) -> None:
    """A wrong digit and two swapped ones both lead to the nearest code at that site."""
    _, site, code, *_ = row.split(',')
    assert [('code', f"'{code}'", f"a code poured at {site}{likely}")] == why(read(HEAD + row))


def test_a_code_told_in_another_row_is_less_likely(read: Any) -> None:
    """781 is as near to 721 as to 789; the one this taster has not told is meant."""
    codes = (('721', 'w1', False), ('789', 'w2', False))
    plan = Poured.by_plan(PlannedPour('mill', 'ann', n, *c) for n, c in enumerate(codes, 1))
    for first, other in (('721', '789'), ('789', '721')):
        held = why(read(HEAD + f'ann,mill,{first},4,4\nann,mill,781,4,4\n', plan))
        assert f"likely {other} " in held[0][2]


def test_the_position_told_decides_between_codes_as_near(read: Any) -> None:
    """With two codes as near, the one nearer in position is named."""
    codes = (('721', 'w1', False), ('483', 'w1', True), ('789', 'w2', False))
    plan = Poured.by_plan(PlannedPour('mill', 'ann', n, *c) for n, c in enumerate(codes, 1))
    head = 'taster,site,position,code,aroma,taste\n'
    for position, code in ((1, '721'), (3, '789')):
        assert f"likely {code} " in why(read(head + f'ann,mill,{position},781,4,4', plan))[0][2]


def test_no_message_names_the_wine_behind_a_code(read: Any) -> None:
    """Whatever is held by its code, the words say nothing of wines the row did not name."""
    rows = 'ann,mill,484,4,4\nann,mill,483,9,9\nann,mill,561,4,\ncid,,483,4,4\nann,mill,,4,4\n'
    gathered = read(HEAD + rows)
    assert 5 == len(gathered.held)
    said = str(gathered.held) + str(gathered.notes) + str(gathered.account)
    for wine in ('w1', 'w2', 'Hillside', 'Harbour'):
        assert wine not in said


def test_a_wine_not_planned_at_the_site_is_held(read: Any) -> None:
    """A wine that this site does not pour needs a look."""
    held = why(read('taster,site,wine,aroma,taste\nben,quay,w2,4,4\nben,quay,w1,4,4\n'))
    assert [('wine', "'w2'", "a wine that the plan pours at quay")] == held


def test_wine_and_code_must_agree(read: Any) -> None:
    """A row that names another wine than its code has is held."""
    held = why(read('taster,site,wine,code,aroma,taste\nann,mill,w2,483,4,4\n'))
    assert [('wine', "'w2' with code 483", "the wine poured as 483 at mill, or none")] == held


def test_the_pour_told_must_agree_with_the_code(read: Any) -> None:
    """A first pour told as the second is held."""
    held = why(read('taster,site,code,pour,aroma,taste\nann,mill,483,2,4,4\n'))
    assert [('pour', "'2' with code 483", "'1', or nothing")] == held


def test_a_code_without_a_site_is_held(read: Any) -> None:
    """A taster of no known site: the code alone tells nothing."""
    held = why(read('taster,code,aroma,taste\ncid,483,4,4\n'))
    assert [('site', "nothing", "where code 483 was poured")] == held


def test_neither_code_nor_wine_is_held(read: Any) -> None:
    """A row that names neither is held for its wine."""
    assert [('wine', "nothing", "which wine this is, or its code")] == why(
        read(HEAD + 'ann,mill,,4,4\n')
    )


def test_a_hidden_second_pour_is_no_repeat(read: Any) -> None:
    """Both pours of a wine are entries; the same code twice is a repeat."""
    gathered = read(HEAD + 'ann,mill,483,4,4\nann,mill,729,5,5\nann,mill,729,3,3\n')
    assert 2 == gathered.entries.height
    assert ['pour'] == [row.field for row in gathered.held]


def test_a_position_that_was_told_stands(read: Any) -> None:
    """The table's position is taken, and a note counts where the plan has another."""
    gathered = read('taster,site,position,code,aroma,taste\nann,mill,2,483,4,4\n')
    assert [('w1', 2, '483', '1')] == told(gathered)
    assert "1 row tells another position than the plan has: taken as told" in gathered.notes


def test_a_wine_told_by_name_takes_its_place_from_the_plan(read: Any) -> None:
    """Where it is poured once, or which pour is told, the position is known."""
    gathered = read('taster,site,wine,pour,aroma,taste\nann,mill,w2,,4,4\nann,mill,w1,2,3,3\n')
    assert [('w2', 2, None, None), ('w1', 3, None, '2')] == told(gathered)


def test_without_a_plan_a_code_stands_for_the_wine(read: Any, league: Tasting) -> None:
    """As before: the code is the wine's name, and a stranger to the tasting file."""
    assert ['wine'] == [row.field for row in read(HEAD + 'ann,mill,483,4,4\n', None).held]


def test_one_room_needs_no_site(read: Any, league: Tasting) -> None:
    """A tasting file without sites has one room, whatever a column of sites says."""
    plan = Poured.by_plan([PlannedPour('room', 'ann', 1, '483', 'w1', False)], one_room=True)
    file = league.model_copy(update={'sites': (), 'tasters': ()})
    for text in (HEAD + 'ann,here,483,4,4\n', 'taster,code,aroma,taste\nann,483,4,4\n'):
        assert [('w1', 1, '483', None)] == told(read(text, plan, tasting=file))


def test_a_site_that_was_not_planned_is_held(read: Any) -> None:
    """A site of the tasting file that came after the plan asks for planning again."""
    plan = Poured.by_plan([PlannedPour('mill', None, 1, '483', 'w1', False)])
    held = why(read(HEAD + 'ben,quay,483,4,4\n', plan))
    assert [('site', "'quay'", "a site of the plan; plan again for it")] == held
