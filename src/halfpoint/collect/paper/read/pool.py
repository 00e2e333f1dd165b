"""Work shared out to processes, where what kills or hangs one costs no more than its task."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from itertools import islice
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from typing import Any, Generic, Self, TypeVar

from halfpoint.errors import HalfpointError

Task = TypeVar('Task')
Result = TypeVar('Result')

CRASHED, TOO_SLOW = 'crashed', 'too-slow'
# A second task waits at each process, so that none is idle while results are looked at.
AT_ONCE = 2
# A process may die through no fault of its task, as when memory is short for all.
TRIES = 2
# So many processes that die before they are ready mean that none ever will be.
MOST_STILLBORN = 3
# Seconds until a process must be ready; a busy old laptop takes ten.
LONGEST_START = 120.0
# Each process does its own page; threads within it would only be in the way of the others.
ONE_THREAD = dict.fromkeys(('OPENBLAS_NUM_THREADS', 'OMP_NUM_THREADS', 'MKL_NUM_THREADS'), '1')
_CONTEXT = multiprocessing.get_context('spawn')


@dataclass(frozen=True, slots=True)
class Failure:
    """Why a task has no result: `crashed` or `too-slow`, and what is known in words."""

    reason: str
    said: str


class Pool(Generic[Task, Result]):
    """Processes that each turn tasks into results; they start with the first task.

    Args:
        make: called once in each process; gives the function from a task to its result. It and
            all tasks and results must pickle.
        workers: how many processes.
        seconds: how long a task may take.
    """

    def __init__(
        self, make: Callable[[], Callable[[Task], Result]], *, workers: int, seconds: float = 60.0
    ) -> None:
        self._make = pickle.dumps(make)
        self._seconds = seconds
        self._window = max(16, 8 * workers)
        self._count = workers
        self._workers: list[_Worker] = []
        self._stillborn = 0
        self._to_do: deque[_Job] = deque()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        for worker in self._workers:
            worker.stop()

    def results(self, tasks: Iterable[Task]) -> Iterator[tuple[Task, Result | Failure]]:
        """Each task with its result or failure, in the order of the tasks.

        Tasks are taken only as there is room, so that memory does not grow with their number.

        Raises:
            HalfpointError: no process could be started.
        """
        coming = iter(tasks)
        open_jobs: deque[_Job] = deque()
        while True:
            fresh = [_Job(task) for task in islice(coming, self._window - len(open_jobs))]
            open_jobs += fresh
            self._to_do += fresh
            if not open_jobs:
                return
            if not self._workers:
                self._workers = [_Worker(self._make) for _ in range(self._count)]
            self._hand_out()
            while not open_jobs[0].is_done:
                self._wait()
                self._hand_out()
            while open_jobs and open_jobs[0].is_done:
                job = open_jobs.popleft()
                yield job.task, job.result

    def _hand_out(self) -> None:
        # Least busy first: nobody gets a second task while another has none.
        for held in range(AT_ONCE):
            for worker in self._workers:
                if self._to_do and len(worker.jobs) == held:
                    worker.hand(self._to_do.popleft())

    def _wait(self) -> None:
        """Wait for something to come, to die, or to take too long."""
        by_connection: dict[Any, _Worker] = {worker.ours: worker for worker in self._workers}
        left = min(worker.left(self._seconds) for worker in self._workers)
        for ready in wait(list(by_connection), max(0.0, left)):
            self._hear(by_connection[ready])
        for worker in self._workers:
            if worker.left(self._seconds) <= 0 and not worker.ours.poll():
                self._give_up(worker)

    def _give_up(self, worker: _Worker) -> None:
        if not worker.is_ready:
            worker.process.kill()
            self._bury(worker)
            return
        slow = f"reading it takes more than {self._seconds:g} seconds"
        worker.jobs.popleft().result = Failure(TOO_SLOW, slow)
        self._replace(worker)

    def _hear(self, worker: _Worker) -> None:
        try:
            result = worker.ours.recv()
        except (EOFError, OSError):
            self._bury(worker)
            return
        except Exception as reason:
            result = Failure(CRASHED, f"its result could not be handed over ({reason!r})")
        if worker.is_ready:
            worker.jobs.popleft().result = result
        elif isinstance(result, Failure):
            raise _not_begun(result.said)
        worker.is_ready = True
        worker.since = time.monotonic()
        self._stillborn = 0

    def _bury(self, worker: _Worker) -> None:
        """Its first task was at work when the process died; the others have done nothing."""
        how = worker.how_it_ended()
        if not worker.is_ready:
            self._stillborn += 1
            if self._stillborn >= MOST_STILLBORN:
                raise _not_begun(how)
        elif worker.jobs:
            job = worker.jobs[0]
            job.tries += 1
            if job.tries >= TRIES:
                job.result = Failure(CRASHED, f"the process reading it ended ({how})")
                worker.jobs.popleft()
        self._replace(worker)

    def _replace(self, worker: _Worker) -> None:
        self._to_do.extendleft(reversed(worker.jobs))
        worker.stop()
        self._workers[self._workers.index(worker)] = _Worker(self._make)


def _not_begun(how: str) -> HalfpointError:
    return HalfpointError(
        f"a process for reading pages ended before it began ({how})",
        expected="a process that stays",
        remedy="close other programs, or try with --workers 1",
    )


_NOTHING: Any = object()


@dataclass(eq=False, slots=True)
class _Job:
    """A task, and its result once there is one."""

    task: Any
    result: Any = field(default_factory=lambda: _NOTHING)
    tries: int = 0

    @property
    def is_done(self) -> bool:
        return self.result is not _NOTHING


class _Worker:
    """One process, our end of the line to it, and the tasks it was handed."""

    def __init__(self, make: bytes) -> None:
        self.ours, theirs = _CONTEXT.Pipe()
        self.jobs: deque[_Job] = deque()
        self.is_ready = False
        self.since = time.monotonic()
        self.process: SpawnProcess = _CONTEXT.Process(target=work, args=(theirs, make), daemon=True)
        with _deaf_to_interrupts():
            self.process.start()
        theirs.close()

    def hand(self, job: _Job) -> None:
        if not self.jobs:
            self.since = time.monotonic()
        self.jobs.append(job)
        # When it has died, the next wait notices.
        with suppress(OSError):
            self.ours.send(job.task)

    def left(self, seconds: float) -> float:
        """Seconds that its first task still has, or that it has to get ready."""
        if self.is_ready and not self.jobs:
            return seconds
        return self.since + (seconds if self.is_ready else LONGEST_START) - time.monotonic()

    def how_it_ended(self) -> str:
        self.process.join(5)
        code = self.process.exitcode
        if code is None or code >= 0:
            return f"code {code}"
        try:
            return signal.Signals(-code).name
        except ValueError:
            return f"signal {-code}"

    def stop(self) -> None:
        self.process.kill()
        self.process.join(5)
        self.ours.close()


@contextmanager
def _deaf_to_interrupts() -> Iterator[None]:
    """A process begun meanwhile ignores Ctrl-C from its first moment: that is for the parent."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def work(line: Connection, make: bytes) -> None:
    """What a process does: tasks in, results out, until nobody is at the other end."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # Before anything is unpickled: what that imports looks at these once.
    os.environ.update(ONE_THREAD)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    # Nobody at the other end: there is nothing left to do.
    with suppress(EOFError, OSError):
        try:
            handle = pickle.loads(make)()  # noqa: S301 - from our own process
        except Exception as reason:
            line.send(Failure(CRASHED, f"{type(reason).__name__}: {reason}"))
            return
        line.send(None)
        while True:
            line.send(_outcome(handle, line.recv()))


def _outcome(handle: Callable[[Any], Any], task: Any) -> Any:
    try:
        return handle(task)
    except MemoryError:
        return Failure(CRASHED, "reading it takes more memory than there is")
    except Exception as reason:
        return Failure(CRASHED, f"reading it failed ({type(reason).__name__}: {reason})"[:300])


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)
