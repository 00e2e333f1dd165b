"""What goes wrong in a process: each of these is picklable and does its worst on demand."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from pathlib import Path


def make() -> Callable[[str], str]:
    """A function that does what it is told."""
    return do


def make_nothing() -> Callable[[str], str]:
    """A process that says why it cannot begin."""
    raise RuntimeError("no such part")


def make_dead() -> Callable[[str], str]:
    """A process that dies while it gets ready."""
    os._exit(7)


def do(task: str) -> str:
    """Do the task's worst, or give the task back in capitals."""
    word, _, rest = task.partition(':')
    if word == 'once' and Path(rest).exists():
        word = 'good'
    if word == 'once':
        Path(rest).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return _WORST.get(word, str.upper)(task)


def _crash(task: str) -> str:
    os.abort()


def _kill(task: str) -> str:
    os.kill(os.getpid(), signal.SIGKILL)
    return task


def _hang(task: str) -> str:
    time.sleep(600)
    return task


def _memory(task: str) -> str:
    raise MemoryError


def _error(task: str) -> str:
    raise ValueError("a fault of ours")


def _odd(task: str) -> str:
    return lambda: None  # type: ignore[return-value]  # cannot be pickled


_WORST: dict[str, Callable[[str], str]] = {
    'crash': _crash, 'kill': _kill, 'hang': _hang, 'memory': _memory, 'error': _error,
    'exit': lambda task: os._exit(0), 'odd': _odd, 'pid': lambda task: str(os.getpid()),
    'env': lambda task: os.environ['OPENBLAS_NUM_THREADS'],
}  # fmt: skip
