"""From how far the evidence lies from every limit to the chance that a mark is right."""

from __future__ import annotations


def confidence_of(slack: float) -> float:
    """The chance that an accepted mark is what the taster meant, from its slack (0 to 1)."""
    return 1 - 10 ** -(3 + 2 * min(max(slack, 0.0), 1.0))
