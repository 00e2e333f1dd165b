"""What is worked out in another process is worked out in a thread here, but where that is asked."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest

from halfpoint.serve.desk.results import Aside


@pytest.fixture(autouse=True)
def no_process(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Starting a process takes seconds; tests with `in_a_process` in their name do so."""
    if 'in_a_process' not in request.node.name:

        async def run(_: Aside, work: Any, *given: Any, **named: Any) -> Any:
            return await asyncio.to_thread(work, *given, **named)

        monkeypatch.setattr(Aside, 'run', run)
