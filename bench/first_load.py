"""The taster's sheet on a phone that never saw it, over a slow network: until it answers a tap.

Chromium with an empty cache, its processor slowed down four times (Emulation.setCPUThrottlingRate)
and its network held back (Network.emulateNetworkConditions) to each of two profiles of 3G: 1.6
Mbit/s down, 750 kbit/s up and 150 ms before each answer begins; and 1.44 Mbit/s, 675 kbit/s and
562.5 ms, the harsher one of Chromium's own tools (both from memory). The app as it is built, sent
compressed, without encryption, whose handshake would add two waits more.

Two times are taken: from opening the link on the card until the table's seats can be tapped, and
from the tap that goes to the sheet until its rulers can be; and the bytes of the app that had come
by then, headers included. What is then put aside for the time without a network is not in them.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, CDPSession, Page, sync_playwright

from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.planned import record_plan
from halfpoint.plan.export import plan_data
from halfpoint.plan.make import make_plan
from halfpoint.publish.handouts.join_code import join_codes
from halfpoint.tasting.load import load_tasting
from measure.desk_record import tasting_file
from measure.figures import describe, keep, machine, print_table
from measure.serving import serving

SLOWER, TIMES, MOST_MS, MOST_BYTES = 4, 3, 2000.0, 150_000


@dataclass(frozen=True, slots=True)
class Network:
    """Bits a second down and up, and milliseconds before an answer begins."""

    down: float
    up: float
    wait: float


NETWORKS: Mapping[str, Network] = {
    '3G, 150 ms': Network(1.6e6, 750e3, 150),
    '3G, 562 ms': Network(1.44e6, 675e3, 562.5),
}
# A tap is answered when the page has drawn what it changes.
TAPPED = """(selector) => new Promise((done, fail) => {
  const until = performance.now() + 30000
  const look = () => {
    const found = document.querySelector(selector)
    if (performance.now() > until) return fail(new Error(`${selector} never came`))
    if (!found || found.disabled) return requestAnimationFrame(look)
    found.click()
    requestAnimationFrame(() => setTimeout(() => done(performance.now())))
  }
  look()
})"""


def held_back(page: Page, network: Network) -> CDPSession:
    """The page on this network, on a slow processor."""
    session = page.context.new_cdp_session(page)
    session.send('Network.enable')
    session.send('Network.emulateNetworkConditions', {
        'offline': False, 'latency': network.wait,
        'downloadThroughput': network.down / 8, 'uploadThroughput': network.up / 8,
    })  # fmt: skip
    session.send('Emulation.setCPUThrottlingRate', {'rate': SLOWER})
    return session


def load_once(
    browser: Browser, address: str, seat: int, network: Network
) -> tuple[float, float, int]:
    """Milliseconds until a seat, then until a ruler answers a tap; bytes until then."""
    context = browser.new_context(viewport={'width': 360, 'height': 760}, service_workers='block')
    page = context.new_page()
    session = held_back(page, network)
    of: dict[str, str] = {}
    came: dict[str, int] = {}
    session.on(
        'Network.requestWillBeSent',
        lambda told: of.__setitem__(told['requestId'], told['request']['url']),
    )
    session.on(
        'Network.loadingFinished',
        lambda told: came.__setitem__(told['requestId'], int(told['encodedDataLength'])),
    )
    page.goto(address, wait_until='commit')
    # The page's own clock, which began when the link was opened.
    seats = page.evaluate(TAPPED, f'input[type=radio][value="{seat}"]')
    page.get_by_role('button', name='Sit down').click()
    onward = page.get_by_role('button', name='To the first pour')
    onward.wait_for()
    before = page.evaluate('() => performance.now()')
    onward.click()
    sheet = page.evaluate(TAPPED, '[role=slider]') - before
    loaded = sum(size for number, size in came.items() if '/api/' not in of[number])
    context.close()
    return seats, sheet, loaded


def measure(folder: Path) -> dict[str, dict[str, float]]:
    """All times on each network."""
    file = tasting_file(folder, sites=1, seats=TIMES * len(NETWORKS), wines=8)
    tasting = load_tasting(file)
    with Ledger.open(tasting.ledger, tasting_key=tasting.key) as ledger:
        record_plan(ledger, plan_data(make_plan(tasting, seed=1)), after=None, who='bench')
    code = join_codes(tasting.key, [('s0', 1)])['s0', 1].code
    command = [sys.executable, '-c', 'from halfpoint.cli.main import run; run()', 'serve']
    chromium = os.environ.get('CHROMIUM') or shutil.which('chromium')
    found: dict[str, dict[str, float]] = {}
    seats_left = iter(range(1, TIMES * len(NETWORKS) + 1))
    with serving([*command, str(file)]) as (port, _), sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=['--no-sandbox'])
        for name, network in NETWORKS.items():
            address = f'http://127.0.0.1:{port}/join/{code}'
            # A seat each, so that nobody is asked whether it is free.
            own = [next(seats_left) for _ in range(TIMES)]
            times = [load_once(browser, address, seat, network) for seat in own]
            seats, sheet, loaded = ([each[kind] for each in times] for kind in range(3))
            found[name] = {
                'seats_median_ms': round(statistics.median(seats)),
                'seats_most_ms': round(max(seats)),
                'sheet_median_ms': round(statistics.median(sheet)),
                'sheet_most_ms': round(max(sheet)),
                'most_kb': round(max(loaded) / 1000, 1),
                'loads': TIMES,
            }
        browser.close()
    return found


def main() -> int:
    """Measure, print and keep; 1 when the phone waits longer, or for more, than it is meant to."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    on = machine()
    with tempfile.TemporaryDirectory() as folder:
        figures = measure(Path(folder))
    print(describe(on))
    print_table(f"first load of the taster's sheet, processor {SLOWER} times slower", [
        (name, ', '.join(f'{key} {value:g}' for key, value in each.items()))
        for name, each in figures.items()
    ])  # fmt: skip
    keep('first_load', on, figures)
    usual = figures[next(iter(NETWORKS))]
    late = max(usual['seats_most_ms'], usual['sheet_most_ms']) > MOST_MS
    return int(late or usual['most_kb'] * 1000 > MOST_BYTES)


if __name__ == '__main__':
    sys.exit(main())
