"""The command line with a reader that knows pages by their grey, so that it can be killed.

    python slow_reading.py READINGS.pickle TASTING.toml SCAN...

`READINGS.pickle` has a reading for each grey.
"""

from __future__ import annotations

import pickle
import sys
import time
from collections.abc import Mapping
from functools import partial
from pathlib import Path

from halfpoint.collect.paper.read.batch import Batch
from halfpoint.collect.paper.read.file_pages import FilePages
from halfpoint.collect.paper.read.model import Outcome
from halfpoint.collect.paper.read.source import Picture

SECONDS_A_PAGE = 0.02


def make(readings: str) -> FilePages:
    """What reads pages in a process."""
    return FilePages(partial(read, pickle.loads(Path(readings).read_bytes())))


def read(readings: Mapping[int, Outcome], picture: Picture) -> Outcome:
    """The reading of a page, after a while."""
    time.sleep(SECONDS_A_PAGE)
    return readings[int(picture.pixels[0, 0])]


def main(readings: str, *arguments: str) -> None:
    """Run `halfpoint read` with this reader."""
    from halfpoint.cli.main import app
    from halfpoint.collect.paper.read import process

    process.batch_for = lambda *_, **__: Batch(partial(make, readings), workers=2)
    app(['read', *arguments])


if __name__ == '__main__':
    main(*sys.argv[1:])
