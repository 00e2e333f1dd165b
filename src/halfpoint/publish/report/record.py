"""The blocks about the record: what was held or set aside, cautions, small print."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from halfpoint.estimate.findings import Findings, HeldFinding, SetAsideFinding
from halfpoint.publish.beside_words import order_notes
from halfpoint.publish.numbers import number, plural
from halfpoint.publish.paper_words import second_look_in_words
from halfpoint.publish.report.blocks import Block, bullets, heading, paragraph, table
from halfpoint.publish.words import spoken
from halfpoint.typeface import is_printable

_MOST_REASONS = 15

CAUTIONS = (
    "Taste a little, and spit; a spittoon on every table is part of tasting well.",
    "Have water and something to eat at hand, before and throughout.",
    "Do not drive after a tasting; arrange the way home beforehand.",
    "Wine is for those of legal age only.",
    "No wine in pregnancy or while breast-feeding, nor with medicines that forbid it.",
    "Wine holds sulphites and may hold traces of egg, milk or fish; the labels say which.",
    "Nobody need taste every wine, and no one is asked why not.",
    "Where local law or a doctor says otherwise, that holds.",
)


def held_and_set_aside(findings: Findings) -> list[Block]:
    """Counts and reasons, with no taster named."""
    blocks = [heading("Held and set aside")]
    if not findings.held and not findings.set_aside:
        return [*blocks, paragraph("Nothing was held, and nothing was set aside.")]
    return [*blocks, *_held(findings.held), *_set_aside(findings.set_aside)]


def _held(held: Sequence[HeldFinding]) -> list[Block]:
    if not held:
        return []
    reasons = Counter((_file(row.file), row.field, row.expected) for row in held)
    columns = (
        ("File", 'left', '1fr'), ("Field", 'left', '0.7fr'),
        ("What was expected", 'left', '1.6fr'), ("Rows", 'right', 'auto'),
    )  # fmt: skip
    rows = [
        [spoken(file), spoken(field), expected, f'{count:,}']
        for (file, field, expected), count in reasons.most_common(_MOST_REASONS)
    ]
    counted = plural(len(held), "row was", "rows were")
    text = f"{counted} received but held, as they could not be read as marks."
    return [paragraph(text), table(columns, rows), *_more(len(reasons))]


def _set_aside(entries: Sequence[SetAsideFinding]) -> list[Block]:
    if not entries:
        return []
    reasons = Counter((entry.wine, entry.why) for entry in entries)
    columns = (
        ("Wine", 'left', '1fr'), ("Reason", 'left', '1.6fr'), ("Entries", 'right', 'auto'),
    )  # fmt: skip
    rows = [
        [spoken(wine), reason, f'{count:,}']
        for (wine, reason), count in reasons.most_common(_MOST_REASONS)
    ]
    counted = plural(len(entries), "entry was", "entries were")
    text = f"{counted} set aside: kept in the record, left out of the scores."
    return [paragraph(text), table(columns, rows), *_more(len(reasons))]


def second_look(findings: Findings) -> list[Block]:
    """How many marks from paper can be wrong at most, where pages were looked at again."""
    if findings.audit is None:
        return []
    drawn = plural(findings.audit.pages, "page was", "pages were")
    text = (
        f"{drawn} drawn at random, and what had been read from paper without a person was held "
        "against the marks on it. What was found wrong is put right. "
    )
    bound = "The bounds are exact (Clopper & Pearson 1934), and take marks to go wrong singly."
    return [
        heading("Read from paper", 2),
        paragraph(text + second_look_in_words(findings.audit)),
        paragraph(bound, soft=True),
    ]


def notes(findings: Findings) -> list[Block]:
    """What the estimate had to say besides, and names that could not be printed in full."""
    said = list(dict.fromkeys((*findings.notes, *findings.total.notes, *order_notes(findings))))
    names = [wine.wine for wine in findings.total.wines]
    if any(not is_printable(name) for name in names):
        said.append(
            "Some names hold letters that this report's typeface lacks. Each such letter is "
            "written as its Unicode number; the data files have the names in full."
        )
    return [heading("Notes", 2), bullets(said[:30])] if said else []


def cautions() -> list[Block]:
    """Looking after those who taste."""
    return [heading("Taking care"), bullets(CAUTIONS)]


def small_print(findings: Findings) -> list[Block]:
    """What is needed to come to the same figures again."""
    effects = ', '.join(findings.effects) or "none"
    lines = [
        f"Made by halfpoint {findings.version} from {_file(findings.source)}.",
        f"Seed of the draws {findings.seed}.",
        f"Score sheet {spoken(findings.sheet)}; wines {findings.form}; allowed for: {effects}.",
    ]
    if findings.total.criterion is not None:
        lines.append(f"REML criterion {number(findings.total.criterion, 4)}.")
    if findings.invented:
        lines.append("The tasting is invented: no real wine, person or place is meant.")
    return [heading("Small print", 2), paragraph(' '.join(lines), soft=True)]


def _more(reasons: int) -> list[Block]:
    if reasons <= _MOST_REASONS:
        return []
    return [paragraph(f"The data files have the other {reasons - _MOST_REASONS:,}.", soft=True)]


def _file(source: str) -> str:
    return source.replace('\\', '/').rstrip('/').rsplit('/', 1)[-1] or source
