"""The blocks about the record: what was held or set aside, cautions, small print."""

from __future__ import annotations

from collections import Counter

from halfpoint.estimate.findings import Findings
from halfpoint.publish.numbers import number, plural
from halfpoint.publish.report.blocks import Block, bullets, heading, paragraph, table
from halfpoint.publish.typeface import is_printable
from halfpoint.publish.words import spoken

_MOST_REASONS = 15

CAUTIONS = (
    "Taste a little, and spit; a spittoon on every table is part of tasting well.",
    "Have water and something to eat at hand, before and throughout.",
    "Do not drive after a tasting; arrange the way home beforehand.",
    "Wine is for those of legal age only.",
    "No wine in pregnancy or while breast-feeding, nor with medicines or conditions that forbid it.",
    "Wine holds sulphites and may hold traces of egg, milk or fish; the labels say which.",
    "Nobody need taste every wine, and no one is asked why not.",
    "Where local law or a doctor says otherwise, that holds.",
)


def held_and_set_aside(findings: Findings) -> list[Block]:
    """Counts and reasons, with no taster named."""
    blocks = [heading("Held and set aside")]
    if not findings.held and not findings.set_aside:
        return [*blocks, paragraph("Nothing was held, and nothing was set aside.")]
    if findings.held:
        reasons = Counter((_file(h.file), h.field, h.expected) for h in findings.held)
        columns = (
            ("File", 'left', '1fr'), ("Field", 'left', 'auto'),
            ("What was expected", 'left', '1.4fr'), ("Rows", 'right', 'auto'),
        )  # fmt: skip
        rows = [
            [spoken(file), spoken(field), expected, f'{count:,}']
            for (file, field, expected), count in reasons.most_common(_MOST_REASONS)
        ]
        held = plural(len(findings.held), "row was", "rows were")
        blocks.append(paragraph(f"{held} received but held, as they could not be read as marks."))
        blocks += [table(columns, rows), *_more(len(reasons))]
    if findings.set_aside:
        why = Counter((s.wine, s.why) for s in findings.set_aside)
        columns = (
            ("Wine", 'left', '1fr'), ("Reason", 'left', '1.6fr'), ("Entries", 'right', 'auto'),
        )  # fmt: skip
        rows = [
            [spoken(wine), reason, f'{count:,}']
            for (wine, reason), count in why.most_common(_MOST_REASONS)
        ]
        aside = plural(len(findings.set_aside), "entry was", "entries were")
        text = f"{aside} set aside: kept in the record, left out of the scores."
        blocks += [paragraph(text), table(columns, rows), *_more(len(why))]
    return blocks


def notes(findings: Findings) -> list[Block]:
    """What the estimate had to say besides, and names that could not be printed in full."""
    said = list(dict.fromkeys((*findings.notes, *findings.total.notes)))
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
        f"Made by halfpoint {findings.version} from {_file(findings.source)}; seed {findings.seed}.",
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
