"""What is worked out in another process is worked out in a thread here, but where that is asked."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest
from tests.serve.conftest import Evening
from tests.serve.desk.filled_desk import send
from tests.serve.desk.looking import looks
from tests.serve.filled import OTHER, sheet

from halfpoint.serve.desk.aside import Aside


@pytest.fixture(autouse=True)
def no_process(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Starting a process takes seconds; tests with `in_a_process` in their name do so."""
    if 'in_a_process' not in request.node.name:

        async def run(_: Aside, work: Any, *given: Any, **named: Any) -> Any:
            return await asyncio.to_thread(work, *given, **named)

        monkeypatch.setattr(Aside, 'run', run)


@pytest.fixture
def off_step(evening: Evening) -> dict[str, Any]:
    """A sheet with a mark off the step is held."""
    pour = evening.plan.pours[0]
    assert 'held' == send(evening, pour, sheet(pour.code, aroma=4.2))['state']
    (item,) = looks(evening)['items']
    return item


@pytest.fixture
def conflict(evening: Evening) -> dict[str, Any]:
    """Two devices at one seat say otherwise."""
    pour = evening.plan.pours[0]
    send(evening, pour, sheet(pour.code, aroma=4.5))
    other = send(evening, pour, sheet(pour.code, aroma=3.0, device=OTHER), OTHER)
    assert 'conflict' == other['state']
    (item,) = looks(evening, kind='conflict')['items']
    return item
