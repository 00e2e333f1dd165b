"""What needs a look, asked for and decided as the desk does it."""

from __future__ import annotations

from typing import Any

from tests.serve.conftest import Evening

from halfpoint.ledger.records import Content

LOOKS = '/api/desk/looks'


def looks(evening: Evening, **asked: Any) -> dict[str, Any]:
    """The list of what needs a look."""
    answer = evening.client.get(LOOKS, params=asked, headers=evening.log_in())
    assert 200 == answer.status_code, answer.text
    return answer.json()


def decide(evening: Evening, key: str, status: int = 200, **said: Any) -> dict[str, Any]:
    """Decide one thing; what the server says of it."""
    answer = evening.client.post(f'{LOOKS}/{key}', json=said, headers=evening.log_in())
    assert status == answer.status_code, answer.text
    return answer.json()


def last(evening: Evening) -> list[tuple[str, Content]]:
    """The last three records: who, and what."""
    writer = evening.run(evening.house.served).writer
    return evening.run(
        writer.do, lambda ledger, _: [(r.who, r.content) for r in list(ledger.records())[-3:]]
    )
