"""Short searches: the properties of a plan do not hang on how long its search went on."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from halfpoint.plan import pouring


@pytest.fixture(scope='module', autouse=True)
def short_searches() -> Iterator[None]:
    """A handful of starts in place of some hundred."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pouring, 'MOST_STARTS', 5)
        yield
