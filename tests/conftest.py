"""What all tests share."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import settings
from tests.postgres import Server, running

# A busy machine is slow, not wrong; speed is measured in bench/, never in a test.
settings.register_profile('patient', deadline=None)
settings.load_profile('patient')


@pytest.fixture(scope='session')
def postgres() -> Iterator[Server]:
    """A PostgreSQL server, started with the first test that needs it."""
    with running() as server:
        yield server
