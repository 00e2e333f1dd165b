"""A cleaned copy of the record, and pseudonyms."""

from __future__ import annotations

from pathlib import Path

import pytest

from halfpoint.errors import LedgerAltered, UsageError
from halfpoint.ledger.cleaned import Renaming, make_cleaned_copy
from halfpoint.ledger.history import history
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import (
    Corrected,
    EntryRecorded,
    Opened,
    Pseudonym,
    RowHeld,
    SetAside,
    Target,
)
from halfpoint.ledger.replay import replay
from halfpoint.ledger.view import current_entries
from halfpoint.sheet.entry import Entry

ANSEL = Renaming('ansel', 'taster-9', ('Ansel Marrow',))


def _entry(taster: str, wine: str = 'plume', remark: str = '') -> Entry:
    return Entry(taster, wine, {'overall': 2.0}, 2.0, site='mill', code='417', remark=remark)


@pytest.fixture
def record(tmp_path: Path) -> Path:
    """A small record in which a key and a name are a person's."""
    path = tmp_path / 'evening.ledger'
    with Ledger.open(path, tasting_key='evening', title='An evening') as ledger:
        ledger.append(
            [
                EntryRecorded(_entry('ansel', remark='as Ansel Marrow said, plum'), 'a.csv', 1),
                EntryRecorded(_entry('mill-2'), 'a.csv', 2),
                RowHeld('a.csv', 3, 'overall', 'nothing', 'a mark', {'taster': 'Ansel Marrow'}),
                Corrected(2, _entry('ansel', remark='plum'), 'Ansel said so'),
                SetAside(Target(taster='ansel'), "ansel's cold"),
                Pseudonym('ansel', 'taster-9'),
            ],
            who='ansel',
        )
    return path


def test_name_is_nowhere_in_the_copy(record: Path, tmp_path: Path) -> None:
    """Neither key nor name is left in the bytes of the copy, and it verifies."""
    copy = tmp_path / 'copy.ledger'
    cleaned = make_cleaned_copy(record, copy, [ANSEL], who='Mara', why='asked for by the taster')
    content = b''.join(path.read_bytes() for path in tmp_path.glob('copy.ledger*'))
    assert b'ansel' not in content.lower()
    assert b'marrow' not in content.lower()
    with Ledger.open(copy, tasting_key='evening', create=False) as ledger:
        assert ledger.verify().holds
        assert cleaned.head == ledger.head.hash


def test_copy_says_where_it_comes_from(record: Path, tmp_path: Path) -> None:
    """The first record names the old head, by whom the copy was made, and why."""
    with Ledger.open(record, tasting_key='evening') as old:
        head, times = old.head, [r.made for r in old.records()]
    copy = tmp_path / 'copy.ledger'
    make_cleaned_copy(record, copy, [ANSEL], who='Mara', why='asked for')
    with Ledger.open(copy, tasting_key='evening') as ledger:
        records = list(ledger.records())
        first = records[0].content
        assert isinstance(first, Opened)
        expected = (head.hash, 'Mara', 'asked for')
        assert expected == (first.copy_of, first.cleaned_by, first.cleaned_why)
        assert times == [r.made for r in records]


def test_marks_stay(record: Path, tmp_path: Path) -> None:
    """What stands in the copy is what stood before, under the new name."""
    copy = tmp_path / 'copy.ledger'
    make_cleaned_copy(record, copy, [ANSEL], who='Mara', why='asked for')
    with (
        Ledger.open(record, tasting_key='evening') as old,
        Ledger.open(copy, tasting_key='evening') as new,
    ):
        before, after = replay(old.records()), replay(new.records())
    assert [e.now.marks for e in before.entries.values()] == [
        e.now.marks for e in after.entries.values()
    ]
    assert ['taster-9', 'mill-2'] == [e.now.taster for e in after.entries.values()]
    assert len(before.in_force()) == len(after.in_force()) == 1


def test_record_itself_is_untouched(record: Path, tmp_path: Path) -> None:
    """Making a copy changes no byte of what the record says."""
    with Ledger.open(record, tasting_key='evening') as old:
        before = list(old.records())
    make_cleaned_copy(record, tmp_path / 'copy.ledger', [ANSEL], who='Mara', why='asked for')
    with Ledger.open(record, tasting_key='evening') as old:
        assert before == list(old.records())


def test_taken_name_is_refused(record: Path, tmp_path: Path) -> None:
    """A new name that is another taster's key would make two people one."""
    copy = tmp_path / 'copy.ledger'
    with pytest.raises(UsageError, match='another taster'):
        make_cleaned_copy(record, copy, [Renaming('ansel', 'mill-2')], who='M', why='w')
    assert not copy.exists()


def test_nothing_is_written_over(record: Path, tmp_path: Path) -> None:
    """A file that is there already is refused, and left as it is."""
    there = tmp_path / 'copy.ledger'
    there.write_text('mine')
    with pytest.raises(UsageError, match='there already'):
        make_cleaned_copy(record, there, [ANSEL], who='Mara', why='asked for')
    assert 'mine' == there.read_text()


def test_altered_record_is_not_copied(record: Path, tmp_path: Path) -> None:
    """A record whose chain does not hold is not given a new one."""
    import sqlite3

    with sqlite3.connect(record) as raw:
        raw.execute('DROP TRIGGER record_keeps_what_it_says')
        raw.execute("UPDATE record SET body = replace(body, '2.0', '1.5') WHERE sequence = 2")
    raw.close()
    with pytest.raises(LedgerAltered):
        make_cleaned_copy(record, tmp_path / 'copy.ledger', [ANSEL], who='Mara', why='asked for')
    assert not (tmp_path / 'copy.ledger').exists()


def test_pseudonym_is_what_views_show(record: Path) -> None:
    """After a pseudonym neither tables nor history call the taster by the key."""
    with Ledger.open(record, tasting_key='evening') as ledger:
        records = list(ledger.records())
    frame = current_entries(records)
    assert 'ansel' not in frame.get_column('taster').to_list()
    told = history(records)
    assert not [h for h in told if 'ansel' in f'{h.what} {h.who}'.split()]
