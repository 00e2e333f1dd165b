"""Work shared out to processes that may die."""

from __future__ import annotations

import itertools
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import poor_workers
import pytest

from halfpoint.collect.paper.read.pool import Failure, Pool
from halfpoint.errors import HalfpointError


@pytest.fixture(scope='module')
def pool() -> Iterator[Pool[str, str]]:
    """Two processes, kept over the tests of this file."""
    with Pool(poor_workers.make, workers=2, seconds=2) as made:
        yield made


def test_results_come_in_the_order_of_the_tasks(pool: Pool[str, str]) -> None:
    """Whoever is ready first, results are in order and none is lost."""
    tasks = [f'good {n}' for n in range(200)]
    assert [(task, task.upper()) for task in tasks] == list(pool.results(tasks))


@pytest.mark.parametrize(
    ('worst', 'said'),
    [
        ('crash', 'SIGABRT'),
        ('kill', 'SIGKILL'),
        ('exit', 'code 0'),
        ('memory', 'more memory than there is'),
        ('error', 'ValueError: a fault of ours'),
        ('odd', 'code 1'),
    ],
)
def test_what_kills_a_process_costs_its_task_only(
    pool: Pool[str, str], worst: str, said: str
) -> None:
    """A crash, a kill, no memory or a fault of ours: every other task has its result."""
    tasks = [*(f'good {n}' for n in range(20)), worst, *(f'good {n}' for n in range(20, 40))]
    told = dict(pool.results(tasks))
    failure = told.pop(worst)
    assert isinstance(failure, Failure)
    assert 'crashed' == failure.reason
    assert said in failure.said
    assert {task: task.upper() for task in tasks if task != worst} == told


def test_what_hangs_costs_its_task_only(pool: Pool[str, str]) -> None:
    """A task without end is given up after its time; the one waiting behind it is done."""
    tasks = ['good a', 'hang', *(f'good {n}' for n in range(20))]
    told = dict(pool.results(tasks))
    assert Failure('too-slow', "reading it takes more than 2 seconds") == told.pop('hang')
    assert {task: task.upper() for task in tasks if task != 'hang'} == told


def test_a_process_killed_by_chance_costs_nothing(pool: Pool[str, str], tmp_path: Path) -> None:
    """A task whose process died is tried once more before it is given up."""
    task = f'once:{tmp_path / "mark"}'
    assert [(task, task.upper())] == list(pool.results([task]))


def test_tasks_are_taken_only_as_there_is_room(pool: Pool[str, str]) -> None:
    """An endless stream of tasks is drawn on by no more than a window ahead."""
    drawn = 0

    def endless() -> Iterator[str]:
        nonlocal drawn
        for drawn in itertools.count(1):
            yield f'good {drawn}'

    results = pool.results(endless())
    for _ in range(100):
        next(results)
    assert 100 <= drawn <= 116


def test_both_processes_work(pool: Pool[str, str]) -> None:
    """Tasks are shared out, and no process reads with more than one thread."""
    assert 2 == len({result for _, result in pool.results(['pid'] * 50)})
    assert [('env', '1')] == list(pool.results(['env']))


@pytest.mark.parametrize(
    ('make', 'said'),
    [(poor_workers.make_nothing, 'no such part'), (poor_workers.make_dead, 'code 7')],
)
def test_processes_that_cannot_begin_are_refused(make: object, said: str) -> None:
    """No page is blamed when the reader itself does not start."""
    with (
        Pool(make, workers=1) as pool,  # type: ignore[arg-type, var-annotated]
        pytest.raises(HalfpointError, match=said),
    ):
        list(pool.results(['good']))


PARENT = """
import sys
sys.path[:0] = {path!r}
from halfpoint.collect.paper.read.pool import Pool
import poor_workers
if __name__ == '__main__':
    with Pool(poor_workers.make, workers=2) as pool:
        for _, pid in pool.results(['pid', 'pid', 'pid', 'hang', 'hang']):
            print(pid, flush=True)
"""


@pytest.mark.parametrize('how', [signal.SIGKILL, signal.SIGINT])
def test_no_process_outlives_its_parent(how: signal.Signals) -> None:
    """Killed or interrupted in the middle, nothing is left running and workers stay silent."""
    told = subprocess.Popen(
        [sys.executable, '-c', PARENT.format(path=sys.path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert told.stdout is not None
    assert told.stderr is not None
    pids = {int(told.stdout.readline()) for _ in range(3)}
    if how == signal.SIGINT:
        os.killpg(told.pid, how)
    else:
        told.kill()
    told.wait(20)
    errors = told.stderr.read()
    told.stdout.close()
    told.stderr.close()
    assert errors.count('Traceback') <= int(how == signal.SIGINT)
    deadline = time.monotonic() + 10
    while any(map(_runs, pids)) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert [] == [pid for pid in pids if _runs(pid)]


def _runs(pid: int) -> bool:
    try:
        stat = Path(f'/proc/{pid}/stat').read_text()
    except OSError:
        return False
    return stat.rsplit(')', 1)[1].split()[0] != 'Z'
