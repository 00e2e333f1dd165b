"""Who is in the tasting and what is kept of each: to be shown, exported, or erased."""

from __future__ import annotations

import re
import secrets
import tomllib
from collections import Counter
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.consent import who_want_letters
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import Consented, Pseudonym, RowHeld
from halfpoint.ledger.replay import State, replay
from halfpoint.serve.desk_store import DeskStore
from halfpoint.serve.seating import Seating
from halfpoint.tasting.model import Tasting
from halfpoint.tasting.write import tasting_toml

FORMAT = 'halfpoint-person'


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who tastes. `key` is what the record shows; `seat` None for no seat of the plan.

    `listed` when the tasting file has a line for them; `called` when a pseudonym stands for them.
    """

    key: str
    name: str
    site: str
    seat: int | None
    entries: int
    held: int
    consent: bool
    letter: bool
    devices: int
    listed: bool
    called: bool


@dataclass(frozen=True, slots=True)
class Known:
    """What is known at one moment, taken out of the record and the desk's file."""

    tasting: Tasting
    seating: Seating | None
    entries: Mapping[str, int]
    held: Mapping[str, int]
    sites: Mapping[str, str]
    called: Mapping[str, str]
    letters: frozenset[str]

    @classmethod
    def of(cls, tasting: Tasting, seating: Seating | None, state: State) -> Known:
        """To be asked within a look."""
        entries: Counter[str] = Counter()
        sites: dict[str, str] = {}
        for entry in state.entries.values():
            entries[entry.now.taster] += 1
            sites[entry.now.taster] = entry.now.site or ''
        held = Counter(row.original.get('taster', '') for row in state.waiting().values())
        letters = frozenset(taster.key for taster in who_want_letters(tasting, state))
        return cls(tasting, seating, entries, held, sites, dict(state.called), letters)

    def key_of(self, shown: str) -> str:
        """The record's key for what is shown.

        Raises:
            NotInLedger: there is nobody of this key.
        """
        real = {called: key for key, called in self.called.items()}
        key = real.get(shown, shown)
        if key not in self.everybody():
            raise NotInLedger(
                f"nobody is called '{shown[:60]}'", where="key", expected="the key of a taster",
                remedy="load the list again",
            )  # fmt: skip
        return key

    def everybody(self) -> dict[str, tuple[str, int | None]]:
        """Key → site and seat, of all who are listed, seated, or in the record."""
        found: dict[str, tuple[str, int | None]] = {}
        if self.seating is not None:
            for seat in self.seating.seats.values():
                found[seat.taster] = seat.site, seat.seat
        for taster in self.tasting.tasters:
            found.setdefault(taster.key, (taster.site or '', None))
        for key in self.entries:
            found.setdefault(key, (self.sites.get(key, ''), None))
        return found


def people(known: Known, desk: DeskStore) -> list[Person]:
    """Everybody who is listed, seated, or in the record."""
    listed = {taster.key: taster for taster in known.tasting.tasters}
    typed = {named.taster: named for named in desk.names()}
    devices = Counter((device.site, device.seat) for device in desk.devices())
    found = []
    for key, (site, seat) in known.everybody().items():
        line, named = listed.get(key), typed.get(key)
        found.append(
            Person(
                key=known.called.get(key, key),
                name=(named.name if named else '') or (line.name if line else ''),
                site=site,
                seat=seat,
                entries=known.entries.get(key, 0),
                held=known.held.get(key, 0),
                consent=named.consent if named else bool(line and line.consent),
                letter=key in known.letters,
                devices=devices[site, seat] if seat is not None else 0,
                listed=line is not None,
                called=key in known.called,
            )
        )
    return found


def export_of(person: Person, key: str, state: State, records: list[dict[str, Any]]) -> Any:
    """Everything that is kept of a person, as plain data; to be made within a look.

    Wines are called by their blind codes until the reveal.
    """
    blind = state.revealed is None
    entries = []
    for entry in state.entries.values():
        if key in {version.taster for version in entry.versions}:
            said = [asdict(version) for version in entry.versions]
            if blind:
                said = [{**each, 'wine': None, 'pour': None} for each in said]
            entries.append({'entry': entry.number, 'versions': said})
    held = [
        {'held': number, **_plain(row)}
        for number, row in state.held.items()
        if row.original.get('taster') in {key, person.name}
    ]
    return {
        'format': FORMAT,
        'version': 1,
        'person': asdict(person),
        'entries': entries,
        'held': held,
        'records': records,
    }


def records_about(ledger: Ledger, key: str) -> list[dict[str, Any]]:
    """When what was recorded of a taster, without its words."""
    word = f'"{key}"'
    return [
        {'record': r.sequence, 'kind': r.kind, 'made': r.made, 'who': r.who}
        for r in ledger.records()
        if r.kind != 'planned' and (word in r.body or r.who == key)
    ]


def erased(ledger: Ledger, state: State, key: str, *, who: str, why: str) -> str:
    """Record that a taster has a pseudonym and no letter from here on, and give it; by the pen.

    Raises:
        UsageError: no name of who decides.
    """
    if not who.strip():
        raise UsageError("nothing", where="who", expected="the name of who decides")
    if key in state.called:
        return state.called[key]
    called = f'person-{secrets.token_hex(3)}'
    ledger.append([Pseudonym(key, called, why), Consented(key, letter=False)], who=who)
    replay(ledger.records(after=state.last), state)
    return called


def without_name(text: str, key: str, called: str) -> str:
    """The tasting file with a pseudonym for a taster's name, and no consents.

    Comments stay when that can be; they are given up when the name cannot be taken out without
    touching something else.
    """
    raw = tomllib.loads(text)
    wanted = tomllib.loads(text)
    names = []
    for taster in wanted.get('taster', ()):
        if taster.get('key') == key:
            names.append(str(taster.get('name', '')))
            taster['name'] = called
            taster.pop('consent', None)
            taster.pop('letter', None)
    if wanted == raw:
        return text
    edited = text
    for name in filter(None, names):
        edited = re.sub(rf'(?<!\w){re.escape(name)}(?!\w)', called, edited)
    return edited if tomllib.loads(edited) == wanted else tasting_toml(wanted)


def _plain(row: RowHeld) -> dict[str, Any]:
    return {'file': row.file, 'row': row.row, 'field': row.field, 'found': row.found,
            'expected': row.expected, 'original': dict(row.original)}  # fmt: skip
