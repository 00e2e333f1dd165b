"""Memory of a running command and of the processes it starts, looked at all the time (Linux)."""

from __future__ import annotations

import resource
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

EVERY = 0.5
_PROC = Path('/proc')


@dataclass(frozen=True, slots=True)
class Moment:
    """Seconds since the start, bytes of the parent, of the largest worker, and of all together."""

    at: float
    parent: int
    worker: int
    together: int


@dataclass(frozen=True, slots=True)
class Watched:
    """Wall and processor seconds of a command, and its moments; without /proc there are none."""

    wall: float
    processor: float
    moments: tuple[Moment, ...]

    def peak(self, kind: str, begin: float, end: float) -> int:
        """The most bytes of a kind from one share of the time to another, 0 to 1."""
        first, last = begin * self.wall, end * self.wall
        return max((getattr(m, kind) for m in self.moments if first <= m.at <= last), default=0)


def watch(command: Sequence[str]) -> Watched:
    """Run a command to its end and look at its memory twice a second, its output thrown away.

    Raises:
        subprocess.CalledProcessError: it ended with anything but 0.
    """
    begun, before = time.perf_counter(), _processor()
    process = subprocess.Popen(list(command), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    moments = []
    while True:
        moment = _moment(process.pid, time.perf_counter() - begun)
        if moment is not None:
            moments.append(moment)
        try:
            process.wait(EVERY)
            break
        except subprocess.TimeoutExpired:
            continue
    wall = time.perf_counter() - begun
    if process.returncode:
        raise subprocess.CalledProcessError(process.returncode, list(command))
    return Watched(wall, _processor() - before, tuple(moments))


def _processor() -> float:
    """Processor seconds of all processes begun from here that have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _moment(root: int, at: float) -> Moment | None:
    parent = _resident(root)
    if not parent:
        return None
    workers = [_resident(number) for number in _below(root)]
    return Moment(at, parent, max(workers, default=0), parent + sum(workers))


def _below(root: int) -> list[int]:
    """All processes that a process started, and those that these started."""
    parents = {int(path.name): _parent(path) for path in _PROC.glob('[0-9]*')}
    found, fresh = [], [root]
    while fresh:
        fresh = [number for number, parent in parents.items() if parent in fresh]
        found += fresh
    return found


def _parent(path: Path) -> int:
    try:
        # The name in brackets may hold anything; the parent is the second word after it.
        return int((path / 'stat').read_text().rpartition(')')[2].split()[1])
    except (OSError, IndexError, ValueError):
        return 0


def _resident(number: int) -> int:
    try:
        for line in (_PROC / str(number) / 'status').read_text().splitlines():
            if line.startswith('VmRSS'):
                return int(line.split()[1]) * 1024
    except OSError:
        pass
    return 0
