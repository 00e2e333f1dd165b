"""The kept figures of paper as the section of `docs/explanation/measured.md`."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from measure.figures import FOLDER
from measure.paper_mix import GROUPS

NOT_YET = "not measured yet"
Group = Mapping[str, Any]


def section() -> str:
    """Markdown; where a part was not measured yet it says so."""
    parts = [_proof(_kept('paper')), _hostile(_kept('paper_hostile')), _speed(_kept('paper_speed'))]
    return '## Is paper read right?\n\n' + '\n\n'.join(parts)


def _kept(name: str) -> Mapping[str, Any] | None:
    path = FOLDER / f'{name}.json'
    return json.loads(path.read_text(encoding='utf-8'))['figures'] if path.exists() else None


def _one_in(bound: float) -> str:
    return f'1 in {int(1 / bound):,}'


def _share(tally: Group) -> str:
    return f'{tally["clean_sent"] / max(tally["clean"], 1):.2%}'.replace('%', ' %')


ROWS: tuple[tuple[str, Callable[[Group], str], str], ...] = (
    ('pages', lambda g: f'{g["pages"]:,}', ''),
    ('of them held', lambda g: f'{sum(g["held"].values()):,}', ''),
    ('given a wrong identity', lambda g: f'{g["wrong_identities"]}', 'none'),
    ('marks accepted', lambda g: f'{g["marks"]["accepted"]:,}', ''),
    ('of them wrong', lambda g: f'{g["marks"]["wrong"]}', 'fewer than 1 in 100,000'),
    ('at most (95 %)', lambda g: _one_in(g['wrong_marks_at_most']), ''),
    ('boxes accepted', lambda g: f'{g["boxes"]["accepted"]:,}', ''),
    ('of them wrong', lambda g: f'{g["boxes"]["wrong"]}', 'fewer than 1 in 50,000'),
    ('at most (95 %)', lambda g: _one_in(g['wrong_boxes_at_most']), ''),
    ('clean rows that a person must look at', lambda g: _share(g['marks']),
     'scans 0.3 %, photographs 0.7 %'),
    ('clean boxes that a person must look at', lambda g: _share(g['boxes']),
     'scans and photographs 0.5 %'),
    ('looks a page', lambda g: f'{g["looks_a_page"]:.2f}', 'scans 1'),
)  # fmt: skip


def _proof(found: Mapping[str, Any] | None) -> str:
    head = f'| | {" | ".join(GROUPS)} | meant |\n' + '|---' * (len(GROUPS) + 2) + '|\n'
    return '\n'.join(
        [_about(found), '', head + _table(found), '', _totals(found), '', _said(found)]
    )


def _about(found: Mapping[str, Any] | None) -> str:
    pages, seeds, reader = NOT_YET, NOT_YET, NOT_YET
    if found is not None:
        pages = f'{found["pages"]:,}'
        seeds = f'{found["first_seed"]:,} to {found["first_seed"] + found["pages"] - 1:,}'
        reader = f'`{found["frozen"]["reader"][:16]}…`'
    return (
        f'Simulated pages: {pages} (`bench/paper.py`, seeds {seeds}), each in a hand of its own: '
        '45 % good scans, 35 % good photographs, 20 % stained, folded, crumpled, torn, curled or '
        'badly lit.\n'
        f'The reader was frozen before the run; the SHA-256 of its files begins with {reader}.\n'
        'The simulator knows nothing of the reader, but no real printer, scanner, telephone or '
        'hand was in it: take the figures as the best that can be hoped for, and use '
        '`halfpoint read --audit` on your own pages.\n'
        'A mark is accepted where nobody is asked to look at it; the bounds are exact '
        '(Clopper and Pearson) and take marks as independent of each other.'
    )


def _table(found: Mapping[str, Any] | None) -> str:
    lines = []
    for label, told, meant in ROWS:
        cells = [told(found['groups'][group]) for group in GROUPS] if found else [NOT_YET] * 4
        lines.append(f'| {label} | {" | ".join(cells)} | {meant} |')
    return '\n'.join(lines)


def _totals(found: Mapping[str, Any] | None) -> str:
    looks = true = NOT_YET
    if found is not None:
        whole = found['groups']['all']
        looks, true = str(whole['looks'].get('totals', 0)), str(whole['true_totals'])
    return (
        f'Looks because of a written total: {looks}; in so many of these the writer had really '
        f'added up wrongly: {true}.'
    )


def _said(found: Mapping[str, Any] | None) -> str:
    head = (
        'How sure the reader was of the marks it accepted, from the least sure to the surest:\n\n'
    )
    head += '| said to be wrong | wrong | of |\n|---|---|---|\n'
    if found is None:
        return head + f'| {NOT_YET} | {NOT_YET} | {NOT_YET} |'
    return head + '\n'.join(
        f'| 1 in {1 / each["doubt"]:,.0f} | {each["wrong"]} | {each["marks"]:,} |'
        for each in found['calibration']
    )


def _hostile(found: Mapping[str, Any] | None) -> str:
    head = 'What became of pages that are no good, '
    head += f'{found["seeds"]} of each:' if found else f'{NOT_YET}:'
    head += '\n\n| | what became of them |\n|---|---|\n'
    if found is None:
        return head + f'| {NOT_YET} | {NOT_YET} |'
    return head + '\n'.join(
        f'| {kind} | {", ".join(f"{what} {number}" for what, number in became.items())} |'
        for kind, became in found['became'].items()
    )


def _speed(found: Mapping[str, Any] | None) -> str:
    pages = f'{found["pages"]:,}' if found else NOT_YET
    speed = memory = NOT_YET
    if found is not None:
        speed = f'{found["pages_a_second"]:.1f} pages a second'
        peaks = found['peak_bytes']['together']
        first, last = (peaks[key] / 1e6 for key in ('first_third', 'last_third'))
        memory = f'{first:,.0f} MB in the first third, {last:,.0f} MB in the last'
    return (
        '`halfpoint read` on one PDF of scans at 200 dpi, each page with another identity; '
        f'pages: {pages}.\n\n'
        '| | measured | meant |\n|---|---|---|\n'
        f'| speed on two cores, start and record included | {speed} | 15 |\n'
        f'| memory of all processes at most | {memory} | flat |'
    )
