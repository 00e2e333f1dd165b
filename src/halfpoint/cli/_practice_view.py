"""Practice on the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import typer

from halfpoint.plan.difference import Test
from halfpoint.publish.numbers import number
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.words import fold, say_number
from halfpoint.teach.advice_words import Advice
from halfpoint.teach.calibration import FEWEST_WINES, Calibration
from halfpoint.teach.diary import Diary, Drilled, Marked
from halfpoint.teach.drills import Answers, judge
from halfpoint.teach.feedback import WineFeedback
from halfpoint.teach.progress import OwnSteadiness, Progress, SessionFound
from halfpoint.teach.reference import TOTAL, Reference

CAUTION = "Small pours, spit, water and something to eat; nobody drives. Local law comes first."
FEW = 6


def print_begun(path: Path, sheet: Sheet, reference: Reference | None) -> None:
    """That a practice has begun, and how to go on."""
    typer.echo(f"Practice begun: {path}, on {sheet.label}. It stays on this device.")
    if reference is None:
        typer.echo(
            "Own bottles, nothing to compare with: this shows how steadily you mark, once a wine "
            "is poured again."
        )
    else:
        made_up = " Invented." if reference.invented and "invented" not in reference.title else ""
        typer.echo(
            f"Compared with {reference.title}, {reference.tasters} tasters.{made_up} Its wines:"
        )
        for wine in reference.wines:
            typer.echo(f"  {wine}")
    marks = " ".join(say_number(category.top) for category in sheet.categories)
    typer.echo(f'Next: halfpoint practice {path} --wine NAME --marks "{marks}"')
    typer.echo(CAUTION)


def print_set(path: Path, sheet: Sheet, reference: Reference) -> None:
    """That a practice set is written, what is in it, and what learners do with it."""
    made_up = " Invented." if reference.invented and "invented" not in reference.title else ""
    typer.echo(f"Practice set: {path}, on {sheet.label}, from {reference.title}.{made_up}")
    for wine in reference.wines:
        typer.echo(f"  {wine}")
    typer.echo("It says what the panel found of these wines, and nothing of any taster.")
    typer.echo(f"Learners begin with: halfpoint practice mine.practice --from {path}")


def print_feedback(feedback: WineFeedback) -> None:
    """One wine: in words first, then category by category."""
    typer.echo(feedback.wine)
    for sentence in feedback.sentences:
        typer.echo(f"  {sentence}")
    for one in feedback.categories:
        span = f"{number(one.low)} to {number(one.high)}"
        typer.echo(
            f"    {one.label:18} you {say_number(one.own):>3}   panel {number(one.panel)} ({span})"
        )


def print_later(path: Path, marked: Marked) -> None:
    """That marks are kept, and how to see them beside the panel's."""
    session = marked.session if " " not in marked.session else f'"{marked.session}"'
    typer.echo(f"{marked.entry.wine}: {say_number(marked.entry.total)}, kept.")
    typer.echo(f"Beside the panel's: halfpoint practice {path} --session {session}")


def print_short(diary: Diary, progress: Progress) -> None:
    """A line on where the learner stands, as far as few wines can say."""
    if diary.reference is None or not progress.now:
        return
    left = FEW - progress.wines
    if left > 0:
        more = "one more" if left == 1 else f"{left} more"
        typer.echo(f"  Kept. After {more} there is something to say of how you mark.")
    else:
        typer.echo(f"  Kept. {severity_in_words(progress.now[TOTAL])}")


def print_progress(diary: Diary, progress: Progress) -> None:
    """Earlier years and sessions in order, then where the learner stands now."""
    for one in (past for stage in diary.stages for past in stage.past):
        ends = either_side(one.low, one.high)
        typer.echo(f"{one.label}, at a tasting: {_level(one.value)} ({ends})")
    if not progress.sessions:
        typer.echo("Nothing is marked yet.")
        return
    for session in progress.sessions:
        typer.echo(_session_line(session))
    if diary.reference is None and not progress.now:
        typer.echo("There is no panel to compare with in this practice.")
    if TOTAL in progress.now:
        typer.echo("")
        for line in standing_in_words(progress.now[TOTAL]):
            typer.echo(line)
    for line in _steady(progress.steadiness):
        typer.echo(line)


def _session_line(session: SessionFound) -> str:
    count = len(session.entries)
    wines = f"{count} wine{'' if count == 1 else 's'}"
    if TOTAL not in session.found:
        return f"{session.session}: {wines}, none to compare"
    found = session.found[TOTAL]
    level = _level(found.severity.value)
    text = f"{session.session}: {wines}; so far {level} ({_either_side(found)})"
    if found.told:
        text += f", agreement {number(found.agreement.value, 2)}"
    return text


def _level(severity: float) -> str:
    size = number(abs(severity))
    if size == "0.0":
        return "level with the panel"
    return f"{size} points {'below' if severity > 0 else 'above'} the panel"


def _either_side(found: Calibration) -> str:
    return either_side(found.severity.low, found.severity.high)


def either_side(lowest: float, highest: float) -> str:
    """The interval of a level given in points below: `1.2 below to 0.3 above`."""
    ends = (-highest, -lowest)
    sides = ["above" if end > 0 else "below" for end in ends]
    low, high = (number(abs(end)) for end in ends)
    if sides[0] == sides[1]:
        return f"{low} to {high} {sides[0]}"
    return f"{low} {sides[0]} to {high} {sides[1]}"


def severity_in_words(found: Calibration) -> str:
    """Where the learner's level lies, no surer than the marks."""
    if found.severity.holds(0.0):
        return f"So far you mark about where the panel does ({_either_side(found)})."
    return f"So far you mark {_level(found.severity.value)} ({_either_side(found)})."


def standing_in_words(found: Calibration) -> Iterator[str]:
    """Severity, spread, steadiness and agreement of the total in words with intervals."""
    if found.wines < FEWEST_WINES:
        yield "So few wines say nothing yet of how you mark; a flight of six is a good beginning."
        return
    yield severity_in_words(found)
    if found.same_mark:
        yield (
            "Every total of the last session is the same, so it says nothing of how you tell "
            "wines apart. Next time, ask of each wine: more or less than the one before?"
        )
        return
    spread, noise, agreement = found.spread, found.noise, found.agreement
    yield (
        f"Between two wines you put {number(spread.value)} times the panel's difference "
        f"({number(spread.low)} to {number(spread.high)})."
    )
    yield (
        f"A mark of yours varies by about {number(noise.value)} points "
        f"({number(noise.low)} to {number(noise.high)})."
    )
    yield (
        f"Your order of wines goes with the panel's by {number(agreement.value, 2)} of 1 "
        f"({number(agreement.low, 2)} to {number(agreement.high, 2)})."
    )


def _steady(found: OwnSteadiness | None) -> Iterator[str]:
    if found is None:
        yield "No wine was poured again yet, so nothing is known of how well you repeat a mark."
        return
    again = "once" if found.pairs == 1 else f"{found.pairs} times"
    few = " That is little to go by yet." if found.pairs < 3 else ""
    varies = f"a total given again varies by about {number(found.sd)} points."
    yield f"Poured again {again}: {varies}{few}"


def print_advice(advice: Advice | None) -> None:
    """What to practise next."""
    if advice is None:
        return
    typer.echo("")
    typer.echo(f"To practise next: {advice.why}")
    typer.echo(advice.exercise)


def print_answers(found: Answers) -> None:
    """What a drill's answers say."""
    typer.echo(found.sentence)
    typer.echo(f"By guessing alone so many right come {100 * found.p:.3g} times in 100.")
    if found.needed is not None and found.power < 0.8:
        typer.echo(
            f"To find out 8 times in 10 what is told half of the time, it takes "
            f"{found.needed.answers} rounds (then {found.needed.right} right); rounds of several "
            "days add up."
        )


def print_drilled(test: Test, pair: str | None, drilled: Sequence[Drilled]) -> None:
    """What drills of several days on the same two wines say together."""
    if not (pair or '').strip():
        typer.echo("Kept. Name the two wines with --wine, and rounds of several days add up.")
        return
    same = [one for one in drilled if one.test == test and fold(one.pair) == fold(pair or '')]
    if len(same) > 1:
        for line in drilled_in_words(same):
            typer.echo(line)


def drilled_in_words(drilled: Sequence[Drilled]) -> Iterator[str]:
    """Drills of each kind on the same two wines together; those of unnamed wines add up to none."""
    kinds: dict[tuple[Test, str], list[Drilled]] = {}
    for one in drilled:
        if one.pair:
            kinds.setdefault((one.test, fold(one.pair)), []).append(one)
    for (test, _), mine in kinds.items():
        found = judge(test, sum(one.answers for one in mine), sum(one.right for one in mine))
        yield f"{mine[0].pair}, every {test} drill so far: {found.sentence}"


def print_unread(path: Path, unread: Sequence[int]) -> None:
    """Lines of the practice file that could not be understood."""
    if unread:
        lines = ", ".join(map(str, unread))
        typer.echo(
            f"{path} needs a look: line {lines} could not be read and was left as it is.", err=True
        )
