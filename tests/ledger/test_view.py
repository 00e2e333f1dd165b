"""The record as tables, in words, and looked over."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import polars as pl
import pytest
from tests.ledger.sample import SHEET, arrived, entry, held, opened

from halfpoint.errors import LedgerAltered
from halfpoint.ledger.changes import correct, set_aside
from halfpoint.ledger.history import Filter, history
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.look import Missing, look_over
from halfpoint.ledger.records import Corrected, EntryRecorded, Target
from halfpoint.ledger.replay import replay
from halfpoint.ledger.view import current_entries, held_rows, set_aside_entries
from halfpoint.sheet.entry import Entry
from halfpoint.tasting.model import Site, Taster, Tasting, Wine


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    """An empty record."""
    with opened(tmp_path) as ledger:
        yield ledger


def tasting(folder: Path) -> Tasting:
    """Two wines and one more, two sites, three tasters."""
    return Tasting(
        key='spring',
        title="Spring",
        sheet=SHEET,
        wines=tuple(Wine(key=f'w{n}', name=f"Wine {n}") for n in (1, 2, 3)),
        sites=(Site(key='north', name="North"), Site(key='south', name="South")),
        tasters=(
            Taster(key='ann', site='north'),
            Taster(key='bob', site='north'),
            Taster(key='cy', site='south'),
            Taster(key='di', site='north'),
        ),
        ledger=folder / 'tasting.ledger',
        source=folder / 'tasting.toml',
    )


def test_entries_are_a_tidy_table(ledger: Ledger) -> None:
    """One row per entry, categories in the order of the sheet, blanks as null or empty lists."""
    ledger.append(
        [
            arrived(site='north', position=2, code='482', terms=('lemon', 'honey'), remark="ok"),
            EntryRecorded(entry('bob'), covariates={'glass': 'tulip', 'warmth': 12.0}),
        ],
        who="Mira",
    )
    frame = current_entries(ledger.records())

    assert list(SHEET.categories_by_key) == frame.columns[9:14]
    assert ['entry', 'taster', 'site', 'wine', 'position', 'code', 'pour'] == frame.columns[:7]
    assert [2, 3] == frame['entry'].to_list()
    assert [['lemon', 'honey'], []] == frame['terms'].to_list()
    assert [None, 'tulip'] == frame['glass'].to_list()
    assert [None, 12.0] == frame['warmth'].to_list()
    assert [15.0, 15.0] == frame['total'].to_list()
    assert pl.List(pl.String) == frame['faults'].dtype


def test_tables_of_nothing_have_their_columns(ledger: Ledger) -> None:
    """Before anything is gathered each table is empty, with the columns that are always there."""
    records = list(ledger.records())

    assert (0, 15) == current_entries(records).shape
    assert ['who', 'why', 'made'] == set_aside_entries(records).columns[-3:]
    assert ['held', 'file', 'row', 'field', 'found', 'expected'] == held_rows(records).columns
    assert 0 == held_rows(records).height


def test_held_rows_are_told_with_their_reasons(ledger: Ledger) -> None:
    """File, row, field, found and expected, under the number to set them aside by."""
    ledger.append([held(7)], who="Mira")

    row = ('south.csv', 7, 'aroma', '9', '0 to 6 in half points')
    assert [(2, *row)] == held_rows(ledger.records()).rows()


def test_a_record_that_refers_to_nothing_is_altered(ledger: Ledger) -> None:
    """A correction of an entry that is not there is said to be altered, not passed over."""
    ledger.append([Corrected(17, entry(), "why")], who="Mira")

    for read in (current_entries, history):
        with pytest.raises(LedgerAltered, match='record 2'):
            read(ledger.records())


def test_history_tells_an_entry_from_its_beginning(ledger: Ledger) -> None:
    """What an entry said, how it was corrected, and every set-aside over it, others left out."""
    ledger.append([arrived(site='north'), arrived('bob', site='north'), held()], who="Mira")
    correct(ledger, SHEET, 2, {'aroma': 5.0}, who="Noor", why="misread")
    correct(ledger, SHEET, 2, {'aroma': 5.5}, who="Noor", why="misread again")
    set_aside(ledger, [Target(site='north', wine='w1')], who="Noor", why="corked")
    set_aside(ledger, [Target(entry=3)], who="Noor", why="late")
    told = history(ledger.records(), Filter(entry=2))

    assert [(2, 'entry'), (5, 'correction'), (6, 'correction'), (7, 'set_aside')] == [
        (happening.sequence, happening.kind) for happening in told
    ]
    assert "ann marked w1 at north 15: appearance 3, aroma 4½" in told[0].what
    assert "corrected entry 2: aroma 4½ → 5. misread" == told[1].what
    assert "corrected entry 2: aroma 5 → 5½. misread again" == told[2].what
    assert "set aside all entries of wine w1 at site north: corked" == told[3].what
    assert 8 == len(history(ledger.records()))


def test_history_by_taster_and_wine(ledger: Ledger) -> None:
    """Only what touches that taster's sheets for that wine, held rows that name both included."""
    ledger.append([arrived('bob'), arrived('bob', 'w2'), arrived(), held()], who="Mira")

    assert [2, 5] == [h.sequence for h in history(ledger.records(), Filter(None, 'bob', 'w1'))]
    assert [] == list(history(ledger.records(), Filter(taster='eve')))


def test_looking_over_finds_what_is_missing(ledger: Ledger, tmp_path: Path) -> None:
    """Missing is what others at the site marked; silent sites and tasters are named once."""
    ledger.append(
        [arrived(t, w, site='north') for t, w in (('ann', 'w1'), ('ann', 'w2'), ('bob', 'w2'))],
        who="Mira",
    )
    look = look_over(replay(ledger.records()), tasting(tmp_path))

    assert (Missing('north', 'bob', ('w1',)),) == look.missing
    assert ('south',) == look.sites_not_heard
    assert ('di',) == look.tasters_not_heard
    assert ('w3',) == look.wines_not_marked


def test_looking_over_finds_doubts_and_misfits(ledger: Ledger, tmp_path: Path) -> None:
    """A hint for a contradiction; a mark the sheet no longer allows is said to be so."""
    doubtful = arrived('ann', faults=('oxidised',))
    outgrown = Entry('bob', 'w1', {**entry().marks, 'aroma': 7.0}, 17.5)
    ledger.append([doubtful, EntryRecorded(outgrown)], who="Mira")
    look = look_over(replay(ledger.records()), tasting(tmp_path))

    assert [(3, 'aroma')] == [(doubt.entry, doubt.field) for doubt in look.misfits]
    assert "7, where the sheet now expects 0 to 6 in half points" == look.misfits[0].message
    assert [2] == [doubt.entry for doubt in look.hints]
