"""A reader of pages that tells only their grey, and does its worst at some greys."""

from __future__ import annotations

import os
import signal
import time

from halfpoint.collect.paper.read.file_pages import FilePages
from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source import Picture

CRASH, HANG, MEMORY = 10, 20, 30


def make() -> FilePages:
    """What reads pages in a process."""
    return FilePages(read)


def read(picture: Picture) -> HeldPage:
    """A page that says its grey."""
    grey = int(picture.pixels[0, 0])
    if grey == CRASH:
        os.kill(os.getpid(), signal.SIGSEGV)
    if grey == HANG:
        time.sleep(600)
    if grey == MEMORY:
        raise MemoryError
    return HeldPage('stranger', str(grey), '', '')
