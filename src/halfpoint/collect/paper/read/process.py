"""What a reading process is made of: the sheets of one plan."""

from __future__ import annotations

from functools import partial

import cv2

from halfpoint.collect.paper.read.batch import Batch, usual_workers
from halfpoint.collect.paper.read.expected import PlannedPages
from halfpoint.collect.paper.read.file_pages import FilePages
from halfpoint.collect.paper.read.read_page import PageReader
from halfpoint.collect.paper.read.source import limit_memory
from halfpoint.plan.model import Plan
from halfpoint.tasting.model import Tasting


def batch_for(tasting: Tasting, plan: Plan, *, workers: int | None = None) -> Batch:
    """The processes that read the sheets of this plan."""
    return Batch(partial(page_reader, tasting, plan), workers=workers or usual_workers())


def page_reader(tasting: Tasting, plan: Plan) -> FilePages:
    """What reads the pages of this plan; made in the process that is to read."""
    cv2.setNumThreads(1)
    limit_memory()
    return FilePages(PageReader(PlannedPages(tasting, plan), tasting).read)
