"""A served invented tasting with a plan, and the people who come to it."""

from __future__ import annotations

import uuid
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from argon2 import PasswordHasher

from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.planned import record_plan
from halfpoint.plan import pouring
from halfpoint.plan.export import plan_data
from halfpoint.plan.make import make_plan
from halfpoint.plan.model import Plan
from halfpoint.serve.app import create_app
from halfpoint.serve.guard import passwords
from halfpoint.serve.house import House
from halfpoint.serve.seating import Seating
from halfpoint.serve.settings import Settings
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting

with warnings.catch_warnings():
    # It would rather have a newer client than httpx; this one does.
    warnings.simplefilter('ignore')
    from starlette.testclient import TestClient

PASSWORD = 'grey-heron-over-weir'
DEVICE = '6f1c0f52-6c1e-4b5e-9c55-0d8f4a1f7a10'
# The pages' own address, as the browser names it.
OWN = {'X-Halfpoint': '1', 'Sec-Fetch-Site': 'same-origin'}

# Made-up words, so that finding one in an answer means that it was given away.
WINES = """
[tasting]
key = "mossgate"
title = "Mossgate evening (invented)"
invented = true

[[wine]]
key = "vexhollow"
name = "Quillmere Vexhollow"

[[wine]]
key = "drumlark"
name = "Tarnbeck Drumlark"

[[wine]]
key = "oxpiper"
name = "Sallowfen Oxpiper"

[[wine]]
key = "wrenfallow"
name = "Hobbling Wrenfallow"
"""
TASTING = f"""{WINES}
[[site]]
key = "mill"
name = "The Old Mill"
seats = 4

[[site]]
key = "quay"
name = "Quay House"
seats = 3

[[taster]]
key = "ansel"
name = "Ansel Marrow"
site = "mill"
"""
HIDDEN = tuple(
    word
    for wine in ("vexhollow", "drumlark", "oxpiper", "wrenfallow", "quillmere", "tarnbeck",
                 "sallowfen", "hobbling")
    for word in (wine,)
)  # fmt: skip


@dataclass
class Evening:
    """A server with a tasting in it; every request goes to it without a network."""

    client: TestClient
    settings: Settings

    @property
    def house(self) -> House:
        """What the routes work on, from inside."""
        return self.client.app.state.house

    @property
    def tasting(self) -> Tasting:
        """The tasting as its file says."""
        return load_tasting(self.settings.tasting)

    def run(self, work: Callable[..., Any], *arguments: Any) -> Any:
        """Run something asynchronous in the server's own loop."""
        return self.client.portal.call(work, *arguments)

    @property
    def plan(self) -> Plan:
        """The plan in force."""
        return self.seating.plan.plan

    @property
    def seating(self) -> Seating:
        """Who sits where."""
        return self.run(self.house.seating)

    def code(self, site: str = 'mill', table: int = 1) -> str:
        """The code on a table's card."""
        return self.seating.table_codes[site, table]

    def log_in(self) -> dict[str, str]:
        """Headers of the organiser; the cookie is in them, and not in the client."""
        return {**OWN, 'Cookie': f'halfpoint_desk={self.house.desk.begin_session(_DAY)}'}

    def host(self, site: str = 'mill') -> dict[str, str]:
        """Headers of the host of a site."""
        return {'Authorization': f'Bearer {self.house.desk.add_host(site, _DAY)[1]}'}

    def taster(self, site: str = 'mill', seat: int = 1, device: str = DEVICE) -> dict[str, str]:
        """Headers of a taster's device at a seat."""
        token = self.house.desk.add_device(device, site, seat)
        return {'Authorization': f'Bearer {token}'}


_DAY = timedelta(days=1)


def another_device() -> str:
    """A UUID as a device makes one for itself."""
    return str(uuid.uuid4())


def write_tasting(folder: Path, text: str = TASTING, *, planned: bool = True) -> Path:
    """An invented tasting in a folder, with a plan in its record."""
    file = folder / 'tasting.toml'
    file.write_text(text, encoding='utf-8')
    if planned:
        load_tasting(file).ledger.write_bytes(_planned(text))
    return file


@lru_cache
def _planned(text: str) -> bytes:
    """The record of a tasting with nothing in it but a plan."""
    with TemporaryDirectory() as folder:
        tasting = load_tasting(write_tasting(Path(folder), text, planned=False))
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(pouring, 'MOST_STARTS', 2)
            plan = make_plan(tasting, seed=1)
        with Ledger.open(tasting.ledger, tasting_key=tasting.key) as ledger:
            record_plan(ledger, plan_data(plan), after=None, who='organiser')
        return tasting.ledger.read_bytes()


@pytest.fixture(scope='session')
def _password() -> Iterator[str]:
    """What is kept of the password, hashed with less work than in earnest."""
    with pytest.MonkeyPatch.context() as patch:
        quick = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
        patch.setattr(passwords, '_HASHER', quick)
        yield passwords.hash_password(PASSWORD)


def serve(settings: Settings, password: str | None = None, **client: Any) -> Iterator[Evening]:
    """Serve a tasting while a test runs."""
    app = create_app(settings)
    with TestClient(app, base_url='http://halfpoint.test', **client) as browser:
        if password is not None:
            app.state.house.desk.keep('password', password)
        yield Evening(browser, settings)


@pytest.fixture
def evening(tmp_path: Path, _password: str) -> Iterator[Evening]:
    """An invented tasting, planned, with a password set, and nobody there yet."""
    yield from serve(Settings(tasting=write_tasting(tmp_path)), _password)


@pytest.fixture
def empty(tmp_path: Path, _password: str) -> Iterator[Evening]:
    """A server without a tasting."""
    yield from serve(Settings(tasting=tmp_path / 'tasting.toml'), _password)


@pytest.fixture
def unplanned(tmp_path: Path, _password: str) -> Iterator[Evening]:
    """A tasting for which nothing is planned yet."""
    yield from serve(Settings(tasting=write_tasting(tmp_path, planned=False)), _password)


@pytest.fixture(scope='module')
def served(tmp_path_factory: pytest.TempPathFactory, _password: str) -> Iterator[Evening]:
    """As `evening`, one for all tests of a file: for those that only look."""
    folder = tmp_path_factory.mktemp('served')
    yield from serve(Settings(tasting=write_tasting(folder)), _password)
