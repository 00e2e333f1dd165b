"""The outlook of a tasting as a person would say it."""

from __future__ import annotations

import math

from halfpoint.estimate.findings import ComponentFinding
from halfpoint.plan.outlook import Assumed, Outlook, Simulation, Source
from halfpoint.publish.numbers import number
from halfpoint.publish.words import components_in_words

_FROM: dict[Source, str] = {
    'option': "as you said",
    'tasting file': "from the tasting file",
    'past tasting': "from the past tasting",
    'default': "by default",
}


def times_in(share: float) -> str:
    """`8 times in 10`; per cent steps only where tenths would not do."""
    tenths = round(10 * share)
    if abs(10 * share - tenths) > 1e-9:
        return f"{100 * share:g} times in 100"
    return f"{tenths} {'time' if tenths == 1 else 'times'} in 10"


def about_times_in(share: float) -> str:
    """`8 times in 10`, to the nearest tenth; `hardly ever` and `nearly always` at the ends."""
    tenths = round(10 * share)
    if tenths <= 0:
        return "hardly ever"
    if tenths >= 10:
        return "nearly always"
    return times_in(tenths / 10)


def of_points(value: float) -> str:
    """`0.5 points`, `1 point`: as it was given."""
    text = f'{value:g}'
    return f"{text} {'point' if text == '1' else 'points'}"


def reach(value: float) -> str:
    """A difference in points as fine as is worth reading; – where there is none."""
    return number(value, 2 if value < 10 else 1 if value < 100 else 0)


def outlook_in_words(outlook: Outlook) -> str:
    """The finding: how often the difference would be told."""
    pairs = outlook.wines * (outlook.wines - 1) // 2
    strict = f", all {pairs:,} pairs being asked at once" if outlook.pairs == 'all' else ""
    return (
        f"With {_rooms(outlook)} two wines {of_points(outlook.difference)} apart would be "
        f"told apart {_often(outlook)}{strict}."
    )


def _often(outlook: Outlook) -> str:
    said = about_times_in(outlook.power)
    short = outlook.power < outlook.power_wanted and said == times_in(outlook.power_wanted)
    return f"not quite {said}" if short else said


def _rooms(outlook: Outlook) -> str:
    sites = f"{outlook.sites:,} {'site' if outlook.sites == 1 else 'sites'}"
    least, most = outlook.fewest_at_a_site, outlook.most_at_a_site
    each = f"{least:,}" if least == most else f"{least:,} to {most:,}"
    return f"{sites} of {each} {'taster' if each == '1' else 'tasters'}"


def enough_in_words(outlook: Outlook) -> tuple[str, ...]:
    """What would be told as often as was asked, and what would be enough."""
    often = times_in(outlook.power_wanted)
    least = outlook.least_detectable_difference
    if not math.isfinite(least):
        return ("So few marks leave nothing to judge the uncertainty by: add sites or tasters.",)
    said = [f"Least difference told apart {often}: {reach(least)} points."]
    if outlook.power < outlook.power_wanted:
        said.append(_more(outlook, often))
    return tuple(said)


def _more(outlook: Outlook, often: str) -> str:
    at_each = round(outlook.tasters / outlook.sites)
    what = f"For {of_points(outlook.difference)} to be told apart {often}"
    if outlook.needed_sites is None:
        sites = "no number of sites up to 10,000 is enough"
    else:
        sites = f"it takes {outlook.needed_sites:,} sites of {at_each:,}"
    if outlook.needed_tasters_at_a_site is None:
        tasters = f"at {outlook.sites:,} sites no number of tasters is enough"
    else:
        tasters = f"at {outlook.sites:,} sites it takes {outlook.needed_tasters_at_a_site:,} each"
    return f"{what} {sites}; {tasters}."


def other_way_in_words(outlook: Outlook) -> str | None:
    """How it stands when pairs are asked in the other way; None for two wines."""
    if outlook.wines == 2:
        return None
    pairs = outlook.wines * (outlook.wines - 1) // 2
    if outlook.pairs == 'one':
        other = outlook.all_pairs
        how = f"Asked of all {pairs:,} pairs at once, as the report does"
    else:
        other = outlook.one_pair
        how = "For two wines chosen before the tasting"
    often = about_times_in(other.power)
    return f"{how}: {often}, and least difference {reach(other.detectable)} points."


def pairs_in_words(outlook: Outlook) -> str | None:
    """How far the pairs of an uneven plan lie apart; None when all are alike."""
    worst, best = outlook.worst_pair, outlook.best_pair
    if worst.se <= best.se * 1.005:
        return None
    return (
        f"Not every pair is compared as well: least difference from "
        f"{reach(best.detectable)} to {reach(worst.detectable)} points."
    )


def assumed_in_words(outlook: Outlook) -> tuple[str, ...]:
    """One line for each component: its usual size, and where it comes from."""
    found = {
        key: ComponentFinding(assumed.variance, None, None)
        for key, assumed in outlook.components.items()
    }
    lines = components_in_words(found)
    return tuple(
        f"{words} ({_whence(assumed)})".replace('\u00a0', ' ')
        for words, assumed in zip(lines, outlook.components.values(), strict=True)
    )


def _whence(assumed: Assumed) -> str:
    if assumed.low is None or assumed.high is None:
        return _FROM[assumed.source]
    count = len(assumed.seen)
    whence = _FROM['past tasting'] if count == 1 else f"from {count} past tastings"
    return f"{whence}; the next may have {reach(assumed.low)} to {reach(assumed.high)}"


def seen_in_words(outlook: Outlook) -> tuple[str, ...]:
    """What each past tasting showed, a line a tasting; nothing without any."""
    by_title: dict[str, list[str]] = {}
    for name, assumed in outlook.components.items():
        for one in assumed.seen:
            size = f"{name} {reach(one.sd)} ± {reach(one.se)}"
            by_title.setdefault(one.title, []).append(size)
    return tuple(f"{title}: {', '.join(sizes)}" for title, sizes in by_title.items())


def kept_in_words(outlook: Outlook) -> str:
    """What to write into a tasting file so that a plan reckons with the same."""
    sizes = (f"{name} = {one.variance:.3g}" for name, one in outlook.components.items())
    return f"assumed = {{ {', '.join(sizes)} }}"


def sure_in_words(outlook: Outlook) -> str | None:
    """How far the finding leans on what past tastings cannot be sure of; None without them."""
    more, less = outlook.if_more, outlook.if_less
    if more is None or less is None:
        return None
    ends = [about_times_in(one.power) for one in (more, less)]
    if ends[0] == ends[1]:
        return f"Whatever the past tastings leave open, it stays so: {ends[0]}."
    return (
        f"Should the next tasting vary as much as the past ones allow: {ends[0]}; as little: "
        f"{ends[1]}."
    )


def simulation_in_words(simulation: Simulation) -> tuple[str, ...]:
    """What simulated tastings say beside the formula."""
    if not simulation.fitted:
        return ("None of the simulated tastings could be weighed.",)
    told = (
        f"Simulated: told apart in {simulation.told:,} of {simulation.fitted:,} tastings, "
        f"{100 * simulation.share:.1f} % ± {100 * simulation.share_se:.1f}; "
        f"by the formula {100 * simulation.formula:.1f} %."
    )
    said = [told]
    if simulation.alike is not None and simulation.alike_se is not None:
        said.append(
            f"Two wines that are alike were told apart in {100 * simulation.alike:.1f} % "
            f"± {100 * simulation.alike_se:.1f} of them."
        )
    if simulation.fitted < simulation.tastings:
        said.append(f"{simulation.tastings - simulation.fitted:,} could not be weighed.")
    return tuple(said)
