"""Timing of a function here, and of a command in a process of its own."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

Result = TypeVar('Result')

HALFPOINT = str(Path(sys.executable).with_name('halfpoint'))
# Linux says the largest resident size in kilobytes, macOS in bytes.
RSS_UNIT = 1 if sys.platform == 'darwin' else 1024


@dataclass(frozen=True, slots=True)
class Run:
    """Wall seconds, processor seconds and the largest resident size in bytes of a command."""

    wall: float
    processor: float
    peak: int


def run(command: Sequence[str]) -> Run:
    """Run a command to its end, its output thrown away.

    Raises:
        subprocess.CalledProcessError: it ended with anything but 0.
    """
    start = time.perf_counter()
    process = subprocess.Popen(list(command), stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    wall = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise subprocess.CalledProcessError(process.returncode, list(command))
    return Run(wall, used.ru_utime + used.ru_stime, used.ru_maxrss * RSS_UNIT)


def median_wall(command: Sequence[str], times: int) -> float:
    """Median wall seconds of several runs, after one that warms the file cache."""
    run(command)
    return statistics.median(run(command).wall for _ in range(times))


def seconds_of(function: Callable[[], Result], times: int) -> tuple[Result, list[float]]:
    """The last result of a function and the wall seconds of each of several calls."""
    walls = []
    for _ in range(times):
        start = time.perf_counter()
        result = function()
        walls.append(time.perf_counter() - start)
    return result, walls
