"""What leaves the desk."""

from __future__ import annotations

from halfpoint.estimate.findings import Findings
from halfpoint.publish.whole_result import Depth
from halfpoint.publish.withheld import withhold
from halfpoint.serve.desk.results import Ready


def published(ready: Ready) -> Findings:
    """The findings without figures of wines that too few marked."""
    return withhold(ready.findings, Depth().least)
