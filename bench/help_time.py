"""`halfpoint --help` from a cold start: median wall time of 21 runs, beside a bare Python."""

from __future__ import annotations

import os
import platform
import statistics
import subprocess
import sys
import time
from pathlib import Path

RUNS = 21
LIMIT = 0.2


def median_seconds(command: list[str]) -> float:
    """Median wall time of `RUNS` runs, after one that warms the file cache."""
    times = []
    for _ in range(RUNS + 1):
        start = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        times.append(time.perf_counter() - start)
    return statistics.median(times[1:])


def main() -> int:
    """Print the figures; 1 when help is too slow."""
    halfpoint = str(Path(sys.executable).with_name('halfpoint'))
    bare = median_seconds([sys.executable, '-c', 'pass'])
    helped = median_seconds([halfpoint, '--help'])
    print(f"machine           {platform.machine()}, {os.cpu_count()} cores, load {_load()}")
    print(f"python, nothing   {bare:.3f} s")
    print(f"halfpoint --help  {helped:.3f} s (meant to be under {LIMIT} s)")
    return 0 if helped < LIMIT else 1


def _load() -> str:
    return f'{os.getloadavg()[0]:.1f}' if hasattr(os, 'getloadavg') else "unknown"


if __name__ == '__main__':
    sys.exit(main())
