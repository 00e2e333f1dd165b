"""What `practice` does once begun: mark a wine, show progress, drill."""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, get_args

import typer

from halfpoint.cli import _practice_view as view
from halfpoint.cli._practice_drill import pages_of
from halfpoint.cli._practice_json import write_progress
from halfpoint.collect.table.marktext import read_mark
from halfpoint.errors import UsageError
from halfpoint.plan.difference import Test
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.validity import check_entry
from halfpoint.sheet.words import did_you_mean, fold
from halfpoint.teach.advice import points
from halfpoint.teach.advice_words import advise
from halfpoint.teach.diary import (
    LEARNER,
    Diary,
    Drilled,
    Marked,
    note,
    note_drill,
    read_diary,
    standing,
)
from halfpoint.teach.drills import draw_drill, judge
from halfpoint.teach.feedback import feed_back
from halfpoint.teach.progress import Progress, follow
from halfpoint.writing import make_folder_safely, write_text_safely


def needed(practice: Path | None) -> Path:
    """The practice file.

    Raises:
        UsageError: none was named.
    """
    if practice is None:
        raise UsageError(
            "no practice file",
            where="practice",
            expected="the learner's own file, as in `halfpoint practice mine.practice`",
        )
    return practice


@dataclass(frozen=True, slots=True)
class Words:
    """What is noted beside the marks."""

    terms: str
    faults: str
    finish: float | None
    remark: str


@dataclass(frozen=True, slots=True)
class Marking:
    """One wine to mark, as it was given."""

    wine: str | None
    marks: str | None
    words: Words
    session: str | None
    correct: bool
    another: bool
    later: bool


def mark_wine(path: Path, given: Marking, *, earlier: bool) -> None:
    """Keep the marks of one wine, and say how they lie beside the panel's."""
    diary = read_diary(path)
    entry = entry_of(diary, given)
    marked = Marked(session_name(given.session), entry, given.correct)
    if given.correct:
        _refuse_nothing_to_correct(diary, marked)
    note(path, marked)
    if given.later:
        view.print_later(path, marked)
        return
    view.print_feedback(feed_back(entry, diary.sheet, diary.reference))
    view.print_short(diary, follow(read_diary(path), earlier=earlier))


def session_name(name: str | None) -> str:
    """The session as it was named, else the date of today."""
    return (name or '').strip() or date.today().isoformat()  # noqa: DTZ011  the learner's own day


def entry_of(diary: Diary, given: Marking) -> Entry:
    """The entry that was given, on the sheet of the practice.

    Raises:
        UsageError: marks without a wine, or what the sheet does not allow.
    """
    if not (given.wine or '').strip() or given.marks is None:
        raise UsageError(
            "a wine without marks" if given.wine else "marks without a wine",
            where="practice",
            expected="--wine and --marks together",
        )
    made = check_entry(
        diary.sheet,
        taster=LEARNER,
        wine=_wine(diary, str(given.wine), another=given.another),
        marks=_marks(diary.sheet, given.marks),
        terms=_listed(given.words.terms),
        faults=_listed(given.words.faults),
        finish_seconds=given.words.finish,
        remark=given.words.remark,
    )
    if isinstance(made, Entry):
        return made
    first = made[0]
    others = [f"{one.field}: {one.found} (expected {one.expected})" for one in made[1:]]
    raise UsageError(
        f"{first.found}; nothing was kept",
        where=first.field,
        expected=first.expected,
        remedy='; also '.join(["give the wine again", *others]),
    )


def _wine(diary: Diary, given: str, *, another: bool) -> str:
    """The wine as the reference has it; one of its own where there is none by that name."""
    name = ' '.join(given.split())
    if diary.reference is None or another:
        return name
    by_fold = {fold(wine): wine for wine in diary.reference.wines}
    if fold(name) in by_fold:
        return by_fold[fold(name)]
    before = {one.entry.wine for one in diary.stages[-1].marked}
    near = did_you_mean(name, by_fold.values())
    if near and name not in before:
        raise UsageError(
            f"'{name}'",
            where="--wine",
            expected=f"a wine of {diary.reference.title}{near}",
            remedy="write its name, or add --another when it is another wine",
        )
    return name


def _marks(sheet: Sheet, text: str) -> dict[str, float | None]:
    """Marks in the order of the sheet, or by name: `3 4½ 4 2 1½`, `aroma=4.5, taste=4`."""
    parts = [part for part in re.split(r'[\s;]+|,(?=\s|[a-z])', text.strip()) if part]
    if len(parts) == 1 and len(text.split(',')) == len(sheet.categories):
        parts = [part.strip() for part in text.split(',')]
    named = [part.partition('=') for part in parts]
    if all(equals for _, equals, _ in named):
        pairs = [(key, value) for key, _, value in named]
    elif len(parts) == len(sheet.categories):
        pairs = list(zip(sheet.categories_by_key, parts, strict=True))
    else:
        order = ', '.join(category.label.lower() for category in sheet.categories)
        raise UsageError(
            f"{len(parts)} mark{'' if len(parts) == 1 else 's'}: '{text}'",
            where="--marks",
            expected=f"{len(sheet.categories)} marks, for {order}",
        )
    return {key: _number(key, value) for key, value in pairs}


def _number(key: str, value: str) -> float:
    number = read_mark(value)
    if number is None:
        raise UsageError(
            f"'{value}'", where=f"--marks, {key}", expected="a number, as in 4.5 or 4½"
        )
    return number


def _listed(text: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in re.split(r'[,;]', text) if word.strip())


def _refuse_nothing_to_correct(diary: Diary, marked: Marked) -> None:
    before = [
        one
        for one in diary.stages[-1].marked
        if (one.session, one.entry.wine) == (marked.session, marked.entry.wine)
    ]
    if not before:
        raise UsageError(
            f"no marks of {marked.entry.wine} in session {marked.session}",
            where="--correct",
            expected="a wine that was marked in that session",
            remedy="name the session with --session, or leave --correct out",
        )


def show_session(path: Path, name: str) -> None:
    """Each wine of one session beside the panel's, in the order in which they were marked.

    Raises:
        UsageError: there is no such session.
    """
    diary = read_diary(path)
    stages = [(stage, one) for stage in diary.stages for one in standing(stage.marked)]
    wanted = [(stage, one.entry) for stage, one in stages if fold(one.session) == fold(name)]
    if not wanted:
        known = list(dict.fromkeys(one.session for _, one in stages))
        raise UsageError(
            f"'{name}'",
            where="--session",
            expected=f"one of {', '.join(known) or 'none so far'}{did_you_mean(name, known)}",
        )
    for stage, entry in wanted:
        view.print_feedback(feed_back(entry, diary.sheet, stage.reference))


def show_progress(path: Path, *, earlier: bool, json_to: str | None = None) -> None:
    """Progress from session to session, and what to practise next, in words or as JSON."""
    diary = read_diary(path)
    progress = follow(diary, earlier=earlier)
    if json_to is not None:
        write_progress(json_to, diary, progress, _advice(diary, progress))
        return
    view.print_progress(diary, progress)
    view.print_advice(_advice(diary, progress))
    for line in view.drilled_in_words(diary.drilled):
        typer.echo(line)
    view.print_unread(path, diary.unread)


def _advice(diary: Diary, progress: Progress) -> Any:
    reference = diary.reference
    if reference is None or not progress.now:
        return None
    ranked = points(progress.now, reference.marks, reference.priors, diary.sheet)
    return advise(ranked, progress.now, reference, diary.sheet)


@dataclass(frozen=True, slots=True)
class ToDrill:
    """A drill as it was asked for."""

    practice: Path | None
    test: str
    rounds: int
    right: int | None
    into: Path | None
    seed: int | None
    session: str | None
    pair: str | None


def run_drill(asked: ToDrill) -> None:
    """Draw serving instructions, or say what right answers tell."""
    test = _test(asked.test)
    if asked.right is None:
        _serve(test, asked)
        return
    found = judge(test, asked.rounds, asked.right)
    if asked.practice is not None:
        read_diary(asked.practice)
        session, pair = session_name(asked.session), ' '.join((asked.pair or '').split())
        drilled = Drilled(session, test, asked.rounds, asked.right, pair)
        note_drill(asked.practice, drilled)
    view.print_answers(found)
    if asked.practice is not None:
        view.print_drilled(test, asked.pair, read_diary(asked.practice).drilled)


def _test(name: str) -> Test:
    for test in get_args(Test):
        if fold(name).replace(' ', '-') == test:
            return test  # type: ignore[no-any-return]
    raise UsageError(f"'{name}'", where="--drill", expected="triangle or duo-trio")


def _serve(test: Test, asked: ToDrill) -> None:
    seed = secrets.randbelow(1_000_000) if asked.seed is None else asked.seed
    drill = draw_drill(test, asked.rounds, seed)
    pages = pages_of(drill, seed)
    if asked.into is None:
        for text in pages.values():
            typer.echo(text)
        return
    make_folder_safely(asked.into)
    for name, text in pages.items():
        write_text_safely(asked.into / name, text)
        typer.echo(f"{name}: {asked.into / name}")
    typer.echo("Give the first to whoever pours; the taster sees only the second.")
