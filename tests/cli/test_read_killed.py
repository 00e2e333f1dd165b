"""`halfpoint read` killed in the middle: no page is lost, and none is there twice."""

from __future__ import annotations

import os
import pickle
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image
from tests.cli.paper import make_tasting, printed, ran, reading, tasting_in

from halfpoint.cli._record import open_record
from halfpoint.ledger.records import EntryRecorded, PageRecorded

SLOW = Path(__file__).parents[1] / 'processes/slow_reading.py'
PAGES = 84


@pytest.fixture
def command(tmp_path: Path) -> list[str]:
    """The command that reads a file of twelve pages, seven times over in other pictures."""
    make_tasting(tmp_path)
    pages = [reading(page) for page in printed(tasting_in(tmp_path))]
    readings = {20 + n: replace(pages[n % 12], picture=b'') for n in range(PAGES)}
    (tmp_path / 'readings.pickle').write_bytes(pickle.dumps(readings))
    first, *others = [Image.new('L', (60, 80), grey) for grey in readings]
    first.save(tmp_path / 'all.tiff', save_all=True, append_images=others)
    return [sys.executable, str(SLOW), *(str(tmp_path / name) for name in
            ('readings.pickle', 'spring.toml', 'all.tiff'))]  # fmt: skip


def pages_recorded(ledger: Path) -> int:
    """How many pages the record has just now."""
    with closing(sqlite3.connect(ledger)) as database:
        return int(
            database.execute("SELECT count(*) FROM record WHERE kind = 'page'").fetchone()[0]
        )


@pytest.mark.parametrize(
    ('how', 'moments'), [(signal.SIGKILL, (1, 40)), (signal.SIGINT, (20,))], ids=['kill', 'ctrl-c']
)
def test_a_reading_that_is_killed_goes_on(
    command: list[str], tmp_path: Path, how: signal.Signals, moments: tuple[int, ...]
) -> None:
    """Killed or interrupted at any moment, the same command brings in what is left, once."""
    ledger = tmp_path / 'spring.ledger'
    for at_least in moments:
        run = subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
        )
        while pages_recorded(ledger) < at_least and run.poll() is None:
            time.sleep(0.01)
        if how == signal.SIGINT:
            os.killpg(run.pid, how)
        else:
            run.kill()
        assert run.wait(30) == (130 if how == signal.SIGINT else -how)
        assert at_least <= pages_recorded(ledger) < PAGES
        assert 'each as it was written' in ran('verify', tmp_path / 'spring.toml')
    subprocess.run(command, check=True, capture_output=True)

    with open_record(tasting_in(tmp_path)) as record:
        contents = [each.content for each in record.records()]
    pages = Counter(each.page for each in contents if isinstance(each, PageRecorded))
    assert dict.fromkeys(range(1, PAGES + 1), 1) == dict(pages)
    entries = [each.entry for each in contents if isinstance(each, EntryRecorded)]
    assert 30 == len(entries) == len({(each.taster, each.code) for each in entries})
