"""The finding and its figures as a person would say them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from halfpoint.estimate.findings import (
    ComponentFinding,
    CovariateFinding,
    Findings,
    MarkFindings,
    Part,
)
from halfpoint.publish.numbers import interval, number, percent, points
from halfpoint.publish.standing import LEVEL, Tier, is_told_apart, tiers, told_from, with_figures

_COUNTS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve",
)  # fmt: skip
_NAMES_SPOKEN = 4
_LONGEST_NAME = 48
_LONGEST_LIST = 72
_SOURCES = {
    'taster': "one taster from another",
    'site': "one room from another",
    'bottle': "one room's bottle from another's, same wine",
    'taster:wine': "one taster's liking of a wine from another's",
    'wine': "one wine from another",
    'residual': "one mark from the next, all else alike",
}


@dataclass(frozen=True, slots=True)
class ComponentWords:
    """A source of difference: what it is, its usual size, the 95 % interval of that."""

    label: str
    amount: str
    interval: str


def finding(findings: Findings) -> str:
    """The finding in one to three sentences.

    A winner is named only when the marks can tell that wine from every other, all pairs
    being asked at once.
    """
    if not findings.connected and len(findings.parts) > 1:
        return _parts_in_words(findings.parts)
    return marks_in_words(findings.total)


def marks_in_words(marks: MarkFindings) -> str:
    """As `finding`, for one kind of mark of a connected tasting."""
    return ' '.join(_sentences(marks))


def _sentences(marks: MarkFindings) -> list[str]:
    names = [wine.wine for wine in with_figures(marks)]
    if not names:
        return ["No wine has enough marks to say anything of it."]
    if len(names) < 2:
        return [f"Only {listed(names)} was marked, so there is nothing to compare."]
    if not marks.pairs:
        return _places_in_words(marks)
    if not any(is_told_apart(pair) for pair in marks.pairs):
        return [_alike_in_words(marks, names)]
    if len(names) == 2:
        ahead = abs(marks.pairs[0].difference)
        return [f"{spoken(names[0])} is ahead of {spoken(names[1])} by {points(ahead)}."]
    return _tiers_in_words(marks, tiers(marks))


def spoken(name: str) -> str:
    """A name on one line, without control characters, cut where it is too long to be said."""
    line = ' '.join(''.join(c if c.isprintable() else ' ' for c in name).split())
    return line if len(line) <= _LONGEST_NAME else line[: _LONGEST_NAME - 1].rstrip() + '…'


def count_in_words(count: int) -> str:
    """`three`, `twelve`, then `13` and `1,100`."""
    return _COUNTS[count] if count < len(_COUNTS) else f'{count:,}'


def letters_in_words(letters: str) -> str:
    """Letters a wine carries, runs of four and more shortened: `abc`, `i–u`."""
    codes = [ord(letter) for letter in letters]
    if len(codes) >= 4 and codes == list(range(codes[0], codes[-1] + 1)):
        return f'{letters[0]}–{letters[-1]}'
    return letters


def listed(names: Sequence[str], joined: str = "and", most: int = _NAMES_SPOKEN) -> str:
    """Names in a row: "A, B and C", the later ones counted where there are many."""
    if len(names) > most + 1:
        shown = ', '.join(spoken(name) for name in names[: most - 1])
        return f"{shown} {joined} {count_in_words(len(names) - most + 1)} others"
    if len(names) < 2:
        return ''.join(spoken(name) for name in names)
    return f"{', '.join(spoken(n) for n in names[:-1])} {joined} {spoken(names[-1])}"


def _alike_in_words(marks: MarkFindings, names: Sequence[str]) -> str:
    if len(names) == 2:
        return f"The marks cannot tell {listed(names)} apart."
    if marks.wine_test is not None and marks.wine_test.p < LEVEL:
        return "The wines are not all alike, but the marks cannot say which of them differ."
    return (
        f"The marks show no difference between the {count_in_words(len(names))} wines "
        "beyond what chance would make."
    )


def _tiers_in_words(marks: MarkFindings, found: Sequence[Tier]) -> list[str]:
    first, rest = found[0], found[1:]
    sentences = _first_in_words(marks, first)
    if rest:
        sentences = sentences[:1]
        follow = _next_in_words(rest[0], last=len(rest) == 1)
        sentences.append(f"{follow}.")
    if len(rest) in (2, 3):
        verb = "comes" if len(rest[1].wines) == 1 else "come"
        later = '; then '.join(_later_in_words(tier) for tier in rest[1:])
        sentences.append(f"Then {verb} {later}.")
    elif len(rest) > 3:
        remaining = sum(len(tier.wines) for tier in rest[1:])
        sentences.append(f"The other {count_in_words(remaining)} come after, step by step.")
    return sentences


def _first_in_words(marks: MarkFindings, tier: Tier) -> list[str]:
    if len(tier.wines) == 1:
        return [f"{spoken(tier.wines[0])} is ahead of every other wine."]
    if tier.alike:
        which = "the two" if len(tier.wines) == 2 else "them"
        return [f"{listed(tier.wines)} are ahead; the marks cannot tell {which} apart."]
    return _no_clear_line(marks, tier)


def _no_clear_line(marks: MarkFindings, tier: Tier) -> list[str]:
    top, *others = tier.wines
    told = told_from(marks, top)
    close = listed([name for name in others if name not in told], "or")
    below = [name for name in others if name in told]
    sentences = [f"No wine is ahead on its own: the marks cannot tell {spoken(top)} from {close}."]
    if len(below) > _NAMES_SPOKEN:
        sentences.append(f"The other {count_in_words(len(below))} stand below {spoken(top)}.")
    elif below:
        verb = "stands" if len(below) == 1 else "stand"
        sentences.append(f"{listed(below)} {verb} below {spoken(top)}.")
    return sentences


def _next_in_words(tier: Tier, last: bool) -> str:
    who = listed(tier.wines)
    if len(tier.wines) > 2 and len(who) > _LONGEST_LIST:
        which = "other" if last else "next"
        who = f"The {which} {count_in_words(len(tier.wines))}"
    if len(tier.wines) == 1:
        return f"{who} follows"
    if tier.alike:
        return f"{who} follow together"
    return f"{who} follow, with no clear line between neighbours"


def _later_in_words(tier: Tier) -> str:
    who = listed(tier.wines)
    if len(tier.wines) == 1:
        return who
    return f"{who} together" if tier.alike else f"{who}, with no clear line between them"


def _places_in_words(marks: MarkFindings) -> list[str]:
    wines = with_figures(marks)
    count = count_in_words(len(wines))
    able = [wine.wine for wine in wines if wine.rank_low == 1]
    highest = listed([wine.wine for wine in wines[:3]])
    if not able:
        return [f"The highest of the {count} scores are those of {highest}."]
    if able == [wines[0].wine] and (wines[0].p_best or 0) >= 1 - LEVEL:
        sure = percent(wines[0].p_best)
        return [f"{spoken(able[0])} is the best of the {count} wines with a chance of {sure}."]
    if len(able) <= _NAMES_SPOKEN:
        who = listed(able, "or")
        return [f"As far as the marks show, {who} may be the best of the {count} wines."]
    return [
        (
            f"As far as the marks show, any of {count_in_words(len(able))} wines out of "
            f"{len(wines):,} may be the best."
        ),
        f"The highest scores are those of {highest}.",
    ]


def _parts_in_words(parts: Sequence[Part]) -> str:
    opening = (
        f"The wines fall into {count_in_words(len(parts))} groups that no taster joins, "
        "so there is no one order for all of them."
    )
    if len(parts) > 2:
        return f"{opening} Each group has its own result."
    return ' '.join([opening, *(_part_in_words(part) for part in parts)])


def _part_in_words(part: Part) -> str:
    who = listed(part.wines, most=3)
    if part.result is None or len(part.wines) < 2:
        return f"{who} cannot be weighed."
    sentence = _sentences(part.result)[0]
    if sentence.startswith(("No wine", "The marks", "The wines", "As far", "Only")):
        sentence = sentence[0].lower() + sentence[1:]
    return f"Among {who}: {sentence}"


def how_sure(p_best: float | None) -> str:
    """What to say after a wine's name of its chance to be the best: "may be the best (44 %)"."""
    if p_best is None or not math.isfinite(p_best):
        return "has no place that can be told"
    steps = (
        (0.95, "is almost surely the best"),
        (0.75, "is probably the best"),
        (0.5, "is more likely the best than not"),
        (0.2, "may be the best"),
        (0.05, "is probably not the best"),
    )
    words = next((w for least, w in steps if p_best >= least), "is hardly the best")
    return f"{words} ({percent(p_best)})"


def component_in_words(key: str, component: ComponentFinding) -> ComponentWords:
    """A variance component as a usual difference in points: its square root.

    "none that the marks can show" at zero.
    """
    label = _SOURCES.get(key, f"one {key} from another")
    size = math.sqrt(max(0.0, component.variance))
    decimals = 1 if size >= 0.095 or component.variance <= 0 else 2
    if component.high is None:
        ends = interval(None, None)
    else:
        low = math.sqrt(max(0.0, component.low or 0.0))
        ends = interval(low, math.sqrt(component.high), decimals)
    if number(size, 2) == '0.00':
        return ComponentWords(label, "none that the marks can show", ends)
    return ComponentWords(label, points(size, decimals), ends)


def components_in_words(components: Mapping[str, ComponentFinding]) -> tuple[str, ...]:
    """One sentence for each source of difference: "one taster from another: 1.5 points"."""
    words = (component_in_words(key, component) for key, component in components.items())
    return tuple(f"{w.label}: {w.amount}" for w in words)


def covariate_in_words(covariate: CovariateFinding) -> str:
    """What a place later in the order, or one unit more of something, adds or takes."""
    step = _step_in_words(covariate)
    between = interval(covariate.low, covariate.high, 2)
    if not covariate.p < LEVEL:
        return f"{step} makes no difference that the marks can show ({between} points)."
    verb = "adds" if covariate.estimate > 0 else "takes"
    return f"{step} {verb} about {points(abs(covariate.estimate), 2)} ({between})."


def _step_in_words(covariate: CovariateFinding) -> str:
    name = spoken(covariate.covariate)
    if covariate.level is not None:
        return f"{_first_capital(name)} {spoken(covariate.level)}, against the first level,"
    if name == 'position':
        return "Each place later in the serving order"
    return f"One more of {name}"


def _first_capital(text: str) -> str:
    return text[:1].upper() + text[1:]
