"""The proof: pages in the mix of a season, read and scored, with bounds; its table, its figures."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from halfpoint.collect.paper.read.pool import CRASHED, TOO_SLOW
from measure.figures import describe, machine, print_table
from measure.paper_desk import PROCESSES, SEATS, SPARES, scored_pages
from measure.paper_frozen import BUILD, ROOT, Frozen, frozen
from measure.paper_kept import keep_longest
from measure.paper_lines import Lines
from measure.paper_mix import ALL, PHOTOGRAPHS, SCANS, SHARES
from measure.paper_room import Size, tasting_file
from measure.paper_score import PageScore, Tally
from measure.paper_sums import Bin, Sum, added_up, calibration, upper_bound

MOST_WRONG_MARKS, MOST_WRONG_BOXES = 1 / 100_000, 1 / 50_000
MOST_ROWS_SENT = {SCANS: 0.003, PHOTOGRAPHS: 0.007}
MOST_BOXES_SENT = 0.005
MOST_LOOKS = 1.0
TOLD_EVERY = 100
USUAL = ('twenty-point', 4)
BROKEN = (CRASHED, TOO_SLOW)


@dataclass(frozen=True, slots=True)
class Asked:
    """Which pages, on which sheet, and whether to go on with a run that was stopped."""

    pages: int
    first_seed: int
    sheet: str
    wines_a_page: int
    resume: bool

    @property
    def seeds(self) -> range:
        """The seeds of the pages."""
        return range(self.first_seed, self.first_seed + self.pages)

    @property
    def name(self) -> str:
        """What tells this run from others."""
        return f'{self.sheet}-{self.wines_a_page}-{self.first_seed}-{self.pages}'


@dataclass(frozen=True, slots=True)
class Meant:
    """A figure that is meant to be somewhere, and whether it is."""

    what: str
    text: str
    good: bool


def prove(asked: Asked) -> int:
    """Read and score the pages, print, keep; 1 when a figure misses what it is meant to be."""
    on, before = machine(), frozen()
    path = BUILD / f'paper-{before.short}-{asked.name}.jsonl'
    lines = Lines(path, resume=asked.resume)
    print(f'scores: {path.relative_to(ROOT)}', file=sys.stderr)
    scores = list(_scored(asked, lines))
    if frozen().short != before.short:
        print("the reader, the form or the simulator changed meanwhile: nothing is kept")
        return 1
    sums, bins = added_up(scores), calibration(scores)
    meant = list(_meant(sums, scores))
    title = f'{asked.pages:,} simulated pages of {asked.sheet}, {asked.wines_a_page} wines a page'
    _print(title, _head(asked, on, before), sums, bins, meant)
    _print_wrong(scores)
    _keep(asked, on, before, _figures(sums, bins, scores))
    return 0 if all(each.good for each in meant) else 1


def _scored(asked: Asked, lines: Lines) -> Iterator[PageScore]:
    """The scores of all seeds, those in the file first; the others are put there."""
    known = {score.seed: score for score in lines if score.seed in asked.seeds}
    if asked.resume:
        print(f'{len(known):,} pages are known from before', file=sys.stderr)
    yield from known.values()
    left = [seed for seed in asked.seeds if seed not in known]
    if not left:
        return
    with tempfile.TemporaryDirectory() as folder:
        # One wine short of two full pages, so that every second page has an empty block.
        wines = 2 * asked.wines_a_page - 1
        size = Size(6, 10, wines, asked.sheet, asked.wines_a_page)
        tasting_file(Path(folder), size)
        wrong = sum(len(score.wrongs) for score in known.values())
        done = len(known)
        for score in scored_pages(Path(folder), asked.wines_a_page, left):
            lines.append(score)
            done, wrong = done + 1, wrong + len(score.wrongs)
            if done % TOLD_EVERY == 0:
                print(f'{done:,} of {asked.pages:,} pages, {wrong} wrong', file=sys.stderr)
            yield score


def _meant(sums: Mapping[str, Sum], scores: Sequence[PageScore]) -> Iterator[Meant]:
    whole = sums[ALL]
    yield _rate("wrong marks, all pages", whole.marks, MOST_WRONG_MARKS)
    yield _rate("wrong boxes, all pages", whole.boxes, MOST_WRONG_BOXES)
    for group, most in MOST_ROWS_SENT.items():
        yield _sent(f"clean rows to a person, {group}", sums[group].marks, most)
        yield _sent(f"clean boxes to a person, {group}", sums[group].boxes, MOST_BOXES_SENT)
    looks = sums[SCANS].looks_a_page()
    yield Meant("looks a page, scans", f'{looks:.2f} (meant: at most 1)', looks <= MOST_LOOKS)
    wrong = whole.wrong_identities
    yield Meant("wrong identities", f'{wrong} (meant: none)', not wrong)
    crashed = sum(score.held in BROKEN for score in scores)
    yield Meant("crashes of the reader", f'{crashed} (meant: none)', not crashed)


def _rate(what: str, tally: Tally, most: float) -> Meant:
    text = f'{_bounded(tally)} (meant: fewer than 1 in {round(1 / most):,})'
    return Meant(what, text, tally.wrong < most * max(tally.accepted, 1))


def _sent(what: str, tally: Tally, most: float) -> Meant:
    share = tally.clean_sent / max(tally.clean, 1)
    text = f'{share:.3%} of {tally.clean:,} (meant: under {most:.1%})'
    return Meant(what, text, share < most)


def _bounded(tally: Tally) -> str:
    bound = upper_bound(tally.wrong, tally.accepted)
    return f'{tally.wrong} of {tally.accepted:,}; 95 %: fewer than 1 in {int(1 / bound):,}'


def _head(asked: Asked, on: Mapping[str, object], of: Frozen) -> list[tuple[str, str]]:
    seeds = asked.seeds
    rows = [
        ('machine', describe(on)),
        ('seeds', f'{seeds[0]:,} to {seeds[-1]:,}'),
        ('commit', of.commit or 'unknown'),
        ('reader', of.reader),
        ('simulator', of.simulator),
        ('printed form', of.printed),
    ]
    if of.changed:
        rows.append(('not committed', ', '.join(of.changed)))
    return rows


COLUMNS: tuple[tuple[str, Callable[[Sum], str]], ...] = (
    ('pages', lambda s: f'{s.pages:,}'),
    ('of them held', lambda s: f'{s.held.total():,}'),
    ('wrong identities', lambda s: f'{s.wrong_identities}'),
    ('marks accepted', lambda s: f'{s.marks.accepted:,}'),
    ('of them wrong', lambda s: f'{s.marks.wrong}'),
    ('95 % bound, one in', lambda s: f'{_one_in(s.marks)}'),
    ('boxes accepted', lambda s: f'{s.boxes.accepted:,}'),
    ('of them wrong', lambda s: f'{s.boxes.wrong}'),
    ('95 % bound, one in', lambda s: f'{_one_in(s.boxes)}'),
    ('pages with anything wrong', lambda s: f'{s.with_wrong}'),
    ('clean rows to a person', lambda s: f'{s.marks.clean_sent / max(s.marks.clean, 1):.3%}'),
    ('clean boxes to a person', lambda s: f'{s.boxes.clean_sent / max(s.boxes.clean, 1):.3%}'),
    ('looks a page read', lambda s: f'{s.looks_a_page():.2f}'),
    ('at rows', lambda s: f'{s.looks_a_page("rows"):.2f}'),
    ('at boxes', lambda s: f'{s.looks_a_page("boxes"):.2f}'),
    ('at totals', lambda s: f'{s.looks_a_page("totals"):.2f}'),
    ('looks at totals', lambda s: f'{s.looks["totals"]}'),
    ('really added up wrongly', lambda s: f'{s.true_totals}'),
)


def _one_in(tally: Tally) -> str:
    return f'{int(1 / upper_bound(tally.wrong, tally.accepted)):,}'


def _print(
    title: str,
    head: Sequence[tuple[str, str]],
    sums: Mapping[str, Sum],
    bins: Sequence[Bin],
    meant: Sequence[Meant],
) -> None:
    print_table(title, head)
    print_table('', [('', ''.join(f'{group:>14}' for group in sums))] + [
        (label, ''.join(f'{told(group):>14}' for group in sums.values()))
        for label, told in COLUMNS
    ])  # fmt: skip
    held = sorted(sums[ALL].held)
    if held:
        print_table('held', [
            (reason, ''.join(f'{group.held[reason]:>14}' for group in sums.values()))
            for reason in held
        ])  # fmt: skip
    print_table('accepted marks said to be wrong, and wrong', [
        (f'1 in {1 / each.doubt:,.0f}', f'{each.wrong} of {each.marks:,}') for each in bins
    ] or [('none', '')])  # fmt: skip
    print_table('meant', [
        (each.what, each.text + ('' if each.good else '  MISSED')) for each in meant
    ])  # fmt: skip


def _print_wrong(scores: Sequence[PageScore]) -> None:
    for score in scores:
        for each in score.wrongs:
            what = ' '.join(part for part in (each.field, each.about) if part)
            print(
                f'wrong: seed {score.seed} {score.style} block {each.place} {what}: '
                f'read {each.read}, meant {each.truth} ({each.kind})'
            )
        if score.wrong_identity or score.held in BROKEN:
            print(f'wrong: seed {score.seed} {score.style} {score.held or "identity"} {score.said}')


def _figures(
    sums: Mapping[str, Sum], bins: Sequence[Bin], scores: Sequence[PageScore]
) -> dict[str, object]:
    return {
        'groups': {group: _kept(found) for group, found in sums.items()},
        'calibration': [asdict(each) for each in bins],
        'wrong': [
            {'seed': score.seed, 'style': score.style, **asdict(each)}
            for score in scores
            for each in score.wrongs
        ],
        'wrong_identities': [score.seed for score in scores if score.wrong_identity],
    }


def _kept(found: Sum) -> dict[str, object]:
    marks, boxes = found.marks, found.boxes
    return {
        **asdict(found),
        'held': dict(found.held),
        'looks': dict(found.looks),
        'looks_a_page': round(found.looks_a_page(), 4),
        'wrong_marks_at_most': upper_bound(marks.wrong, marks.accepted),
        'wrong_boxes_at_most': upper_bound(boxes.wrong, boxes.accepted),
        'pages_with_wrong_at_most': upper_bound(found.with_wrong, found.read),
    }


def _keep(
    asked: Asked, on: Mapping[str, object], of: Frozen, figures: Mapping[str, object]
) -> None:
    given: dict[str, object] = {
        'pages': asked.pages,
        'first_seed': asked.first_seed,
        'sheet': asked.sheet,
        'wines_a_page': asked.wines_a_page,
        'shares': dict(SHARES),
        'blank_pages': {'seats': SEATS, 'spares': SPARES},
        'processes': PROCESSES,
        'reader': of.reader,
        'frozen': asdict(of),
    }
    usual = (asked.sheet, asked.wines_a_page) == USUAL
    name = 'paper' if usual else f'paper_{asked.sheet}_{asked.wines_a_page}'
    keep_longest(name, on, {**given, **figures})
