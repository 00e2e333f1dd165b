"""A page that nobody touches does nothing: batteries last an evening."""

from __future__ import annotations

import pytest

SECONDS = 2.0
# An endless round of fetching and drawing took ten times as much and more.
MOST_SHARE = 0.02


@pytest.mark.parametrize('path', ['/', '/practice', '/host', '/desk', '/guide'])
def test_an_untouched_page_is_idle(served, phone, path) -> None:
    """Once it is shown, no script runs but for what comes from the server."""
    page = phone().page
    page.goto(served.url + path)
    page.get_by_role('heading', level=1).first.wait_for()
    page.wait_for_load_state('networkidle')
    session = page.context.new_cdp_session(page)
    session.send('Performance.enable', {'timeDomain': 'threadTicks'})

    def script_seconds() -> float:
        told = session.send('Performance.getMetrics')['metrics']
        return next(each['value'] for each in told if each['name'] == 'ScriptDuration')

    before = script_seconds()
    page.wait_for_timeout(1000 * SECONDS)
    assert script_seconds() - before < MOST_SHARE * SECONDS
