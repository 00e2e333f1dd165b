"""Practice in the browser app on a phone-class processor: from the tap to the feedback shown.

Chromium with its processor slowed down six times (Emulation.setCPUThrottlingRate), the app as it
is built, a practice of three years with 30 sessions before, then four flights of six wines, two
of them poured again. Each time is from the tap on "Keep and compare" to the first frame after the
page has it: the comparison, and the sentence on how the learner marks so far, which takes all
sessions into account. Saving the marks on the device is part of it. Beside it the first wine of a
practice begun a moment ago, when nothing has been run yet, and the processor time of the page,
which does not hang on what else the machine does.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import CDPSession, Page, sync_playwright

from halfpoint.teach.diary import Marked, begin, note
from halfpoint.teach.reference import Reference
from measure.figures import describe, keep, machine, print_table
from measure.serving import serving

sys.path.insert(0, str(Path(__file__).parents[1] / 'tools'))
from learned import SHEET, Learner

SEED, SLOWER, MOST_MS = 20, 6, 100.0
OWN_WORK = ('ScriptDuration', 'LayoutDuration', 'RecalcStyleDuration')
SESSIONS, FLIGHTS = 30, 4
# Of each flight two wines come again.
FLIGHT = (0, 1, 2, 3, 4, 5, 1, 4)
TASTING = '[tasting]\nkey = "bench"\ntitle = "Bench (invented)"\ninvented = true\n'
TASTING += '[[wine]]\nkey = "w"\nname = "Wine"\n[[site]]\nkey = "s"\nname = "Room"\n'
WATCH = """() => {
  const shown = (name) => {
    if (window.times[name] === undefined && document.querySelector(`[data-${name}]`)) {
      window.times[name] = null
      requestAnimationFrame(() => setTimeout(() => (window.times[name] = performance.now())))
    }
  }
  window.times = {}
  document.querySelector('footer .next').addEventListener('click', () => {
    window.times = {tap: performance.now()}
    new MutationObserver((_, watch) => {
      if (window.times.told && window.times.standing) return watch.disconnect()
      shown('told'), shown('standing')
    }).observe(document.body, {childList: true, subtree: true, characterData: true})
  }, {capture: true, once: true})
}"""


def practice_file(path: Path, reference: Reference) -> Path:
    """Sessions of three years."""
    learner = Learner(SEED)
    begin(path, SHEET, reference)
    for number in range(SESSIONS):
        session = f'{2023 + number // 10}-{1 + number % 10:02}-10'
        for at in FLIGHT:
            wine = reference.wines[at + number % 3]
            note(path, Marked(session, learner.entry(wine, reference)))
    return path


def mark_one(page: Page, session: CDPSession, wine: str) -> tuple[float, float, float]:
    """Mark a wine and keep it: ms to the comparison, to the standing, and of processor in all."""
    for at, ruler in enumerate(page.get_by_role('slider').all()):
        ruler.focus()
        page.keyboard.press('End')
        for _ in range((at + len(wine)) % 3):
            page.keyboard.press('ArrowLeft')
    page.locator('main select').last.select_option(wine)
    page.locator('footer').get_by_text("kept on this device").wait_for()
    # A person takes a moment to look for the button.
    page.wait_for_timeout(300)
    page.evaluate(WATCH)
    before = processor_ms(session)
    page.evaluate("() => document.querySelector('footer .next').click()")
    # Nothing asks the page meanwhile: asking would take its time.
    page.wait_for_timeout(1500)
    page.wait_for_function('() => window.times.told && window.times.standing')
    own = processor_ms(session) - before
    times = page.evaluate('() => window.times')
    page.locator('footer a').click()
    page.get_by_role('slider').first.wait_for()
    return times['told'] - times['tap'], times['standing'] - times['tap'], own


def processor_ms(session: CDPSession) -> float:
    """Processor time of the page's own work so far: scripts, styles and layout."""
    told = session.send('Performance.getMetrics')['metrics']
    return 1000.0 * float(sum(each['value'] for each in told if each['name'] in OWN_WORK))


@contextmanager
def practising(port: int, file: Path) -> Iterator[tuple[Page, CDPSession]]:
    """A phone with this practice open, at its first wine."""
    chromium = os.environ.get('CHROMIUM') or shutil.which('chromium')
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=['--no-sandbox'])
        context = browser.new_context(
            viewport={'width': 360, 'height': 760}, service_workers='block'
        )
        page = context.new_page()
        page.goto(f'http://127.0.0.1:{port}/practice')
        page.set_input_files('input[type=file]', file)
        page.locator('footer a').click()
        page.get_by_role('button', name="Go on").click()
        page.get_by_role('slider').first.wait_for()
        session = context.new_cdp_session(page)
        session.send('Performance.enable', {'timeDomain': 'threadTicks'})
        session.send('Emulation.setCPUThrottlingRate', {'rate': SLOWER})
        yield page, session
        browser.close()


def measure(folder: Path) -> dict[str, dict[str, float]]:
    """All times, in milliseconds."""
    reference = Learner(SEED).reference('Bench (invented)', 8)
    tasting = folder / 'bench.toml'
    tasting.write_text(TASTING, encoding='utf-8')
    fresh = folder / 'fresh.practice'
    begin(fresh, SHEET, reference)
    years = practice_file(folder / 'years.practice', reference)
    command = [sys.executable, '-c', 'from halfpoint.cli.main import run; run()', 'serve']
    with serving([*command, str(tasting)]) as (port, _):
        with practising(port, fresh) as (page, session):
            first = mark_one(page, session, reference.wines[0])
        with practising(port, years) as (page, session):
            times = [
                mark_one(page, session, reference.wines[at + flight % 3])
                for flight in range(FLIGHTS)
                for at in FLIGHT
            ]
    told, standing, own = ([each[kind] for each in times] for kind in (0, 1, 2))
    return {
        'first wine of all': {'feedback_ms': round(first[0], 1), 'standing_ms': round(first[1], 1)},
        'feedback': _summed(told),
        'feedback and standing over all sessions': _summed(standing),
        'processor time of the page for both': _summed(own),
    }


def _summed(times: list[float]) -> dict[str, float]:
    return {
        'median_ms': round(statistics.median(times), 1),
        'most_ms': round(max(times), 1),
        'wines': len(times),
    }


def main() -> int:
    """Measure, print and keep; 1 when the usual wine takes longer than it is meant to."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    on = machine()
    with tempfile.TemporaryDirectory() as folder:
        figures = measure(Path(folder))
    print(describe(on))
    rows = [
        (name, ', '.join(f'{key} {value:g}' for key, value in each.items()))
        for name, each in figures.items()
    ]
    print_table(f"practice in Chromium, processor {SLOWER} times slower", rows)
    keep('practice_page', on, figures)
    return int(figures['feedback']['median_ms'] > MOST_MS)


if __name__ == '__main__':
    sys.exit(main())
