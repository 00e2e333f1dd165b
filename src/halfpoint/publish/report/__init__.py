"""The report: the finding in words, its charts and figures, how it was done. One PDF."""

from __future__ import annotations

import json
import re
from concurrent.futures import Future
from pathlib import Path
from typing import Any, Literal

import typst

from halfpoint.estimate.findings import Findings
from halfpoint.publish.charts.svg import warm_up
from halfpoint.typeface import font_directory, printable
from halfpoint.writing import write_bytes_safely

Paper = Literal['a4', 'us-letter']

_LONG_WORD = re.compile(r'\S{28,}')


def write_report(findings: Findings, path: Path, *, paper: Paper = 'a4') -> None:
    """Write the report as a PDF to `path`, whole or not at all.

    The same findings give the same bytes: the PDF carries no date.

    Raises:
        DiskFull: no space was left; what stood at `path` before still stands.
        OutputError: the file could not be written for another reason.
    """
    write_bytes_safely(path, report_pdf(findings, paper=paper))


def report_pdf(findings: Findings, *, paper: Paper = 'a4') -> bytes:
    """The report as the bytes of a PDF (tagged, with the shipped typeface embedded)."""
    warm_up()
    # Altair takes its time to import; meanwhile the drawing engine starts.
    from halfpoint.publish.report.compose import composed  # noqa: PLC0415

    data = composed(findings, paper)
    return _typeset(_settled(data))


def _typeset(data: dict[str, Any]) -> bytes:
    return typst.compile(
        Path(__file__).with_name('report.typ'),
        format='pdf',
        font_paths=[font_directory()],
        ignore_system_fonts=True,
        sys_inputs={'report': json.dumps(data)},
        pdf_standards=['ua-1'],
        timestamp=0,
    )


def _settled(value: Any) -> Any:
    """All texts made printable and breakable; pictures waited for, else left as they are."""
    if isinstance(value, Future):
        return value.result()
    if isinstance(value, dict):
        return {name: _settled(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [_settled(inner) for inner in value]
    if not isinstance(value, str):
        return value
    lines = value.removeprefix('\u0002').split('\n')
    text = '\n'.join(_breakable(printable(line)) for line in lines)
    return f'\u0002{text}' if value.startswith('\u0002') else text


def _breakable(text: str) -> str:
    return _LONG_WORD.sub(lambda word: re.sub(r'(.{14})', '\\1\u200b', word.group()), text)
