"""What anybody may know."""

from __future__ import annotations


def test_hello_says_what_is_served(evening) -> None:
    """Anybody may know which tasting is served, and that it is open."""
    told = evening.client.get('/api/hello').json()
    assert ('mossgate', 'open', True) == (
        told['tasting']['key'], told['tasting']['state'], told['tasting']['invented'],
    )  # fmt: skip
    assert (True, False) == (told['organiser_ready'], told['secure'])


def test_hello_without_a_tasting(empty) -> None:
    """Before there is a tasting, that is said, and nothing fails."""
    assert empty.client.get('/api/hello').json()['tasting'] is None
