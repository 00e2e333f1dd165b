"""What holds of a record wherever it lies: nothing half written, nothing acknowledged lost."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.ledger.sample import arrived
from tests.postgres import url

from halfpoint.errors import LedgerBusy, LedgerError, UsageError
from halfpoint.ledger.copy import bring_over, copy_of
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.stores import is_begun, open_store
from halfpoint.tasting.record_place import RecordPlace, record_place

HERE = Path(__file__).parent
APPENDING = """
import sys
from sample import arrived
from halfpoint.ledger.ledger import Ledger
from halfpoint.tasting.record_place import record_place
name, count = sys.argv[2], int(sys.argv[3])
for number in range(count):
    with Ledger.open(record_place(sys.argv[1]), tasting_key='spring') as ledger:
        batch = [arrived(taster=name, wine=f'{number}-{part}') for part in range(3)]
        print(*ledger.append(batch, who=name), flush=True)
"""


@pytest.fixture(params=['sqlite', 'postgres'])
def named(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a record is to be begun, as somebody types it."""
    if request.param == 'sqlite':
        return str(tmp_path / 'tasting.ledger')
    return url(request.getfixturevalue('postgres').new())


@pytest.fixture
def place(named: str) -> RecordPlace:
    """The same, read."""
    return record_place(named)


def opened(place: RecordPlace, key: str = 'spring', **others: Any) -> Ledger:
    """The record there, begun when it is not there."""
    return Ledger.open(place, tasting_key=key, title="Spring", **others)


def appending(named: str, name: str, count: int) -> subprocess.Popen[str]:
    """A process that appends batches of three and says their numbers once they are kept."""
    return subprocess.Popen(
        [sys.executable, '-c', APPENDING, named, name, str(count)],
        env={**os.environ, 'PYTHONPATH': str(HERE)},
        stdout=subprocess.PIPE,
        text=True,
    )


@pytest.mark.skipif(os.name != 'posix', reason='needs SIGKILL')
def test_what_was_acknowledged_survives_a_kill(named: str, place: RecordPlace) -> None:
    """Killed in the middle of appending, all acknowledged records are there and no half batch."""
    acknowledged: list[int] = []
    for stop_after in (1, 4, 9):
        process = appending(named, f'killed-{stop_after}', 10_000)
        assert process.stdout is not None
        with process.stdout:
            for _ in range(stop_after):
                acknowledged += [int(number) for number in process.stdout.readline().split()]
            process.send_signal(signal.SIGKILL)
        assert -signal.SIGKILL == process.wait()

    with opened(place) as ledger:
        kept = [record.sequence for record in ledger.records()]
        assert ledger.verify().holds
    assert 14 * 3 == len(acknowledged)
    assert set(acknowledged) <= set(kept)
    assert 1 == len(kept) % 3


def test_two_processes_appending_at_once_take_turns(named: str, place: RecordPlace) -> None:
    """Two processes that begin and fill one record at once lose nothing and keep the chain."""
    processes = [appending(named, name, 8) for name in ('one', 'two')]
    told = [process.communicate(timeout=60)[0].split() for process in processes]

    assert [0, 0] == [process.returncode for process in processes]
    with opened(place) as ledger:
        assert ledger.verify().holds
        assert 1 + 2 * 8 * 3 == ledger.head.count
    assert sorted(map(int, told[0] + told[1])) == list(range(2, 50))


def test_a_failure_half_way_leaves_nothing(place: RecordPlace) -> None:
    """When something goes wrong within a step, none of that step is recorded."""
    with opened(place) as ledger:
        with pytest.raises(KeyError):
            _append_and_fail(ledger)
        assert 1 == ledger.head.count
        assert (2,) == ledger.append([arrived()], who="Mira")


def _append_and_fail(ledger: Ledger) -> None:
    with ledger.writing():
        ledger.append([arrived()], who="Mira")
        # Seen by whoever writes, and so given to the database before the failure.
        assert 2 == len(list(ledger.records()))
        raise KeyError


def test_a_locked_record_is_busy_after_a_while(place: RecordPlace) -> None:
    """While another process holds the pen, waiting ends with LedgerBusy; reading goes on."""
    opened(place).close()
    with (
        opened(place, patience=0.05) as waiting,
        opened(place) as holding,
        holding.writing(),
    ):
        assert 1 == len(list(waiting.records()))
        with pytest.raises(LedgerBusy):
            waiting.append([arrived()], who="Mira")


def test_what_is_being_written_is_seen_by_nobody_else(place: RecordPlace) -> None:
    """Others read what was there before, until all of it is written."""
    with opened(place) as writing, opened(place) as reading:
        with writing.writing():
            writing.append([arrived()], who="Mira")
            assert 2 == len(list(writing.records()))
            assert 1 == len(list(reading.records()))
        assert 2 == len(list(reading.records()))


def test_another_tasting_does_not_share_the_record(place: RecordPlace) -> None:
    """A record is refused to a tasting with another key."""
    opened(place).close()

    with pytest.raises(LedgerError, match='belongs to the tasting spring'):
        opened(place, key='autumn')


def test_looking_does_not_begin_a_record(place: RecordPlace) -> None:
    """Where there is none, `create=False` refuses and makes nothing."""
    for _ in range(2):
        with pytest.raises(LedgerError, match='no record yet'):
            opened(place, create=False)
        assert not is_begun(place)
    opened(place).close()
    assert is_begun(place)


def test_text_that_is_not_unicode_is_refused(place: RecordPlace) -> None:
    """A lone surrogate, as a terminal may hand over, is refused before anything is recorded."""
    with opened(place) as ledger:
        with pytest.raises(LedgerError, match='not Unicode'):
            ledger.append([arrived()], who="Mir\udce4")
        assert 1 == ledger.head.count


def test_every_letter_comes_back(place: RecordPlace) -> None:
    """What people write is read as it was written, in every script, quotes and signs included."""
    who = "Zoë “½” O'Néill %s \\ {schema} عزيزة 𝔐 🍷"
    with opened(place) as ledger:
        ledger.append([arrived(remark="50 % sure; \\x00 and \u0000, 'quoted'")], who=who)
        assert who == [record.who for record in ledger.records()][1]
        assert ledger.verify().holds


@pytest.mark.parametrize('many', [8, 9, 109, 110, 2_999])
def test_many_records_come_back_in_order(place: RecordPlace, many: int) -> None:
    """More than fit into one question are read without a gap, from anywhere."""
    with opened(place) as ledger:
        ledger.append((arrived(taster=f't{number}') for number in range(many)), who="Mira")
        assert list(range(1, many + 2)) == [record.sequence for record in ledger.records()]
        assert [many, many + 1] == [r.sequence for r in ledger.records(after=many - 1)]
        assert [] == list(ledger.records(after=many + 1))
        assert ledger.verify().holds


def test_a_copy_is_a_file_with_the_same_head(place: RecordPlace, tmp_path: Path) -> None:
    """A copy made while others write is a record in a file that verifies on its own."""
    copy = tmp_path / 'copy.ledger'
    with opened(place) as ledger:
        ledger.append([arrived(), arrived(wine='w2')], who="Mira")
        with ledger.writing():
            ledger.append([arrived(wine='w3')], who="Mira")
            list(ledger.records())
            copy.write_bytes(copy_of(place))
    with opened(copy, create=False) as copied:
        result = copied.verify()
        assert (3, True) == (result.records, result.holds)
    with opened(place) as ledger:
        assert 3 == ledger.verify(result.head).noted_at


def test_no_record_has_no_copy(place: RecordPlace) -> None:
    """Where nothing was begun there is nothing to copy."""
    with pytest.raises(LedgerError, match='no record yet'):
        copy_of(place)


def test_a_record_is_brought_over_line_by_line(place: RecordPlace, tmp_path: Path) -> None:
    """From a file and back to one, with the head it had; never onto another record."""
    file, back = tmp_path / 'before.ledger', tmp_path / 'after.ledger'
    with opened(file) as ledger:
        ledger.append([arrived(), arrived(wine='w2')], who="Mira")
        head = ledger.head
    assert head == bring_over(file, place) == bring_over(place, back)
    with opened(place, create=False) as ledger:
        assert 3 == ledger.verify(head.hash).noted_at
        assert (4,) == ledger.append([arrived(wine='w3')], who="Mira")
    with pytest.raises(UsageError, match='already'):
        bring_over(file, place)
    with opened(place) as ledger:
        assert 4 == ledger.verify().records


def test_a_store_is_asked_for_its_end(place: RecordPlace) -> None:
    """A record that was begun and holds nothing ends before its first line."""
    with open_store(place, create=True) as store:
        assert 0 == store.head().count
        assert '' == store.damage()
        assert [] == list(store.rows())
