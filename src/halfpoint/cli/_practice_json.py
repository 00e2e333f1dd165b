"""Practice as one JSON document: sessions, where the learner stands, what to practise next."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import typer

from halfpoint.publish.export.document import plain
from halfpoint.teach.advice_words import Advice
from halfpoint.teach.diary import Diary
from halfpoint.teach.progress import Progress, SessionFound
from halfpoint.writing import write_text_safely


def write_progress(to: str, diary: Diary, progress: Progress, advice: Advice | None) -> None:
    """Write it to a file, or with `-` to standard output.

    Raises:
        DiskFull, OutputError: it could not be written.
    """
    reference = diary.reference
    whole = {
        'sheet': diary.sheet.label,
        'reference': None if reference is None else reference.title,
        'past': [asdict(one) for stage in diary.stages for one in stage.past],
        'sessions': [_session(one) for one in progress.sessions],
        'now': {key: plain(asdict(found)) for key, found in progress.now.items()},
        'wines': progress.wines,
        'steadiness': None if progress.steadiness is None else asdict(progress.steadiness),
        'advice': None if advice is None else _advice(advice),
        'drills': [asdict(one) for one in diary.drilled],
        'unread': list(diary.unread),
    }
    text = json.dumps(plain(whole), ensure_ascii=False, indent=1, allow_nan=False) + '\n'
    if to == '-':
        typer.echo(text, nl=False)
        return
    write_text_safely(Path(to), text)
    typer.echo(f"JSON: {to}")


def _session(found: SessionFound) -> dict[str, Any]:
    return {
        'session': found.session,
        'wines': [
            {'wine': entry.wine, 'total': entry.total, 'marks': dict(entry.marks)}
            for entry in found.entries
        ],
        'compared': found.compared,
        'found': {key: asdict(one) for key, one in found.found.items()},
    }


def _advice(advice: Advice) -> dict[str, Any]:
    point = advice.point
    return {
        'category': point.category,
        'aspect': point.aspect,
        'sure': point.sure,
        'why': advice.why,
        'exercise': advice.exercise,
        'wines': list(advice.wines),
    }
