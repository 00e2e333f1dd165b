"""A large invented tasting with every sheet in its record."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.planned import record_plan
from halfpoint.ledger.records import Content, EntryRecorded
from halfpoint.plan.export import plan_data
from halfpoint.plan.make import make_plan
from halfpoint.plan.model import Plan, Pour
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.validity import check_entry
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting


def tasting_file(folder: Path, *, sites: int, seats: int, wines: int) -> Path:
    """An invented tasting file."""
    head = '[tasting]\nkey = "bench"\ntitle = "Bench (invented)"\ninvented = true\n'
    head += f'[plan]\nseats = {seats}\ncapacity = {wines}\n'
    rooms = ''.join(f'[[site]]\nkey = "s{n}"\nname = "Room {n}"\n' for n in range(sites))
    bottles = ''.join(f'[[wine]]\nkey = "w{n}"\nname = "Wine {n}"\n' for n in range(wines))
    file = folder / 'bench.toml'
    file.write_text(head + rooms + bottles, encoding='utf-8')
    return file


def fill(file: Path, *, spare: int = 0) -> tuple[Tasting, Plan, list[EntryRecorded]]:
    """Plan and record a sheet for every pour but the last `spare`, which are given back."""
    tasting = load_tasting(file)
    plan = make_plan(tasting, seed=1)
    sheets = _sheets(tasting, plan)
    recorded: list[Content] = list(sheets[: len(sheets) - spare])
    with Ledger.open(tasting.ledger, tasting_key=tasting.key) as ledger:
        record_plan(ledger, plan_data(plan), after=None, who='bench')
        ledger.append(recorded, who='bench')
    return tasting, plan, sheets[len(sheets) - spare :]


def _sheets(tasting: Tasting, plan: Plan) -> list[EntryRecorded]:
    random = np.random.default_rng(7)
    liking = {wine.key: random.normal(0, 0.8) for wine in tasting.wines}
    taster = {key: random.normal(0, 1.0) for key in sorted({_who(p) for p in plan.pours})}
    bottle = {key: random.normal(0, 0.4) for key in sorted({(p.site, p.wine) for p in plan.pours})}
    terms = list(tasting.sheet.terms_by_key)
    made: list[EntryRecorded] = []
    for pour in plan.pours:
        level = liking[pour.wine] + taster[_who(pour)] + bottle[pour.site, pour.wine]
        marks = {}
        for category in tasting.sheet.categories:
            share = 0.66 + 0.06 * level + random.normal(0, 0.1)
            steps = round(share * category.top / category.step)
            marks[category.key] = float(np.clip(steps * category.step, category.lowest,
                                                category.top))  # fmt: skip
        ticked = tuple(random.choice(terms, size=3, replace=False)) if terms else ()
        entry = check_entry(
            tasting.sheet, taster=_who(pour), site=pour.site, wine=pour.wine, marks=marks,
            position=pour.position, code=pour.code, terms=tuple(map(str, ticked)),
        )  # fmt: skip
        if not isinstance(entry, Entry):
            raise TypeError(entry)
        made.append(EntryRecorded(entry, 'bench', len(made) + 1))
    return made


def _who(pour: Pour) -> str:
    return pour.taster or f'{pour.site}-{pour.seat}'
