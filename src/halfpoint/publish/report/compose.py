"""The report as a table of contents: which blocks, in which order."""

from __future__ import annotations

from typing import Any

from halfpoint.estimate.findings import Findings, MarkFindings, Part
from halfpoint.publish import palette
from halfpoint.publish.numbers import plural
from halfpoint.publish.report import method, record, result, sources
from halfpoint.publish.report.aroma_page import aroma_page
from halfpoint.publish.report.blocks import Block, figures, heading, lead, paragraph
from halfpoint.publish.report.panel_page import panel_page
from halfpoint.publish.report.rooms_page import rooms_page
from halfpoint.publish.report.sides import other_sides
from halfpoint.publish.report.wine_pages import has_pages, wine_pages
from halfpoint.publish.words import component_in_words, finding, marks_in_words, spoken
from halfpoint.typeface import FAMILY

INVENTED = "Invented for demonstration: no real wine, person or place"


def composed(findings: Findings, paper: str) -> dict[str, Any]:
    """Everything `report.typ` sets, as plain data."""
    return {
        'paper': paper,
        'title': ' '.join(findings.title.split()) or "A tasting",
        'kicker': "Report of a tasting",
        'subtitle': _subtitle(findings),
        'invented': findings.invented,
        'invented_label': INVENTED,
        'footer': f"halfpoint {findings.version}",
        'formula_in_words': method.formula_in_words(findings),
        'look': {
            'family': FAMILY, 'ink': palette.INK, 'soft': palette.SOFT, 'line': palette.LINE,
            'card': palette.CARD, 'moss': palette.MOSS, 'clay': palette.CLAY,
        },
        'blocks': _blocks(findings),
    }  # fmt: skip


def _blocks(findings: Findings) -> list[Block]:
    joined = findings.connected or len(findings.parts) < 2
    told = _whole(findings) if joined else _in_parts(findings)
    return [
        heading("What we found"),
        lead(finding(findings)),
        *told,
        *method.method(findings),
        *record.held_and_set_aside(findings),
        *record.second_look(findings),
        *record.notes(findings),
        *record.cautions(),
        *record.small_print(findings),
    ]


def _whole(findings: Findings) -> list[Block]:
    marks = findings.total
    return [
        *result.scores_opening(marks),
        *_figures(findings),
        *other_sides(findings),
        *result.scores_table(marks, with_picture=result.is_opening_cut(marks)),
        *result.pairs(marks),
        *result.places(marks),
        *result.categories(findings, with_cards=not has_pages(findings)),
        *sources.components(marks),
        *sources.covariates(marks),
        *aroma_page(findings),
        *wine_pages(findings),
        *panel_page(findings),
        *rooms_page(findings),
    ]


def _in_parts(findings: Findings) -> list[Block]:
    text = (
        "Wines can be compared when the same tasters marked them, or when a chain of tasters "
        "joins them. Here no such chain joins the groups, so each has an order of its own."
    )
    blocks = [paragraph(text)]
    for place, part in enumerate(findings.parts, 1):
        blocks += _part(place, part)
    return [*blocks, *aroma_page(findings)]


def _part(place: int, part: Part) -> list[Block]:
    counted = f"{plural(len(part.wines), 'wine')}, {plural(part.tasters, 'taster')}"
    title = heading(f"Group {place}: {counted}")
    if part.result is None:
        names = ', '.join(spoken(name) for name in part.wines[:40])
        return [title, paragraph(f"{names}: too few marks to weigh.")]
    marks = part.result
    return [
        title,
        paragraph(marks_in_words(marks)),
        *result.scores_picture(marks),
        *result.scores_table(marks),
        *result.pairs(marks),
        *result.places(marks),
        *_moved(marks),
    ]


def _moved(marks: MarkFindings) -> list[Block]:
    return [
        *sources.components(marks),
        *sources.covariates(marks),
        *sources.severity(marks),
        *sources.bottles(marks),
    ]


def _figures(findings: Findings) -> list[Block]:
    rooms = f"in {plural(findings.sites, 'room')}" if findings.sites else ""
    wines = f"for {plural(len(findings.total.wines), 'wine')}"
    items = [
        ("marks weighed", f'{findings.marks:,}', wines),
        ("tasters", f'{findings.tasters:,}', rooms),
    ]
    for key in ('taster', 'bottle', 'residual'):
        component = findings.total.components.get(key)
        if component is not None and component.variance > 0:
            words = component_in_words(key, component)
            amount, _, unit = words.amount.partition('\u00a0')
            items.append((words.label, amount, unit))
            break
    return [figures(items)]


def _subtitle(findings: Findings) -> str:
    counted = [plural(len(findings.total.wines), 'wine'), plural(findings.tasters, 'taster')]
    if findings.sites:
        counted.append(plural(findings.sites, 'room'))
    return f"{', '.join(counted)}. Score sheet: {spoken(findings.sheet)}."
