"""Does the finding hold when the marks are looked at from other sides?"""

from __future__ import annotations

from halfpoint.estimate.findings import Findings
from halfpoint.publish.beside_words import bottles_in_words, order_in_words
from halfpoint.publish.report.blocks import Block, bullets, heading


def other_sides(findings: Findings) -> list[Block]:
    """Order alone, scale use and bottles, a sentence each."""
    told = [*order_in_words(findings)]
    if findings.scale is not None:
        told.append(findings.scale.sentence)
    told += bottles_in_words(findings)
    return [heading("Does it hold from other sides?", 2), bullets(told)] if told else []
