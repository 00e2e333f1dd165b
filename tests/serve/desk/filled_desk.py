"""A served tasting with sheets in its record."""

from __future__ import annotations

from typing import Any

from tests.serve.conftest import DEVICE, Evening
from tests.serve.filled import body, sheet

from halfpoint.plan.model import Pour


def fill(evening: Evening, *, but: int = 0) -> list[Pour]:
    """Send a sheet for every pour of the plan, but for the last few; give those sent."""
    sent = list(evening.plan.pours)[: len(evening.plan.pours) - but]
    for number, pour in enumerate(sent):
        liking = sum(map(ord, pour.wine)) % 5
        marks = {
            'appearance': 2.0 + number % 3 * 0.5, 'aroma': 2.0 + liking * 0.5,
            'taste': 3.0 + number % 2 * 0.5, 'aftertaste': 1.5 + liking % 2 * 0.5, 'overall': 1.0,
        }  # fmt: skip
        send(evening, pour, sheet(pour.code, marks=marks) | {'marks': marks})
    return sent


def send(evening: Evening, pour: Pour, entry: dict[str, Any], device: str = DEVICE) -> Any:
    """Send a sheet from the seat of a pour, and give the answer to it."""
    answer = evening.client.put(
        '/api/sheet/entries',
        json=body(entry, device=device),
        headers=evening.taster(pour.site, pour.seat, device),
    )
    assert 200 == answer.status_code, answer.text
    return answer.json()['answers'][0]
