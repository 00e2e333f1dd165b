"""The plan in the record."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.ledger.sample import DIGEST, arrived, opened

from halfpoint.errors import LedgerBusy, UsageError
from halfpoint.ledger.history import history
from halfpoint.ledger.intake import take_in
from halfpoint.ledger.planned import record_plan
from halfpoint.ledger.replay import replay

PLAN = {'tasting': 'spring', 'pours': [{'site': 'north', 'code': '483'}]}
OTHER = {'tasting': 'spring', 'pours': []}


def test_the_newest_plan_is_in_force(tmp_path: Path) -> None:
    """A second plan follows the first, and the first stays in the record."""
    with opened(tmp_path) as ledger:
        record_plan(ledger, PLAN, after=None, who='Mira')
        record_plan(ledger, OTHER, after=2, who='Mira')
        state = replay(ledger.records())
        told = [happening.what for happening in history(ledger.records())]

        assert (OTHER, 3) == (state.plan, state.planned)
        assert ["planned 1 pour at 1 site", "planned 0 pours at 0 sites"] == told[1:]
        assert ledger.verify().holds


def test_a_plan_made_beside_another_is_refused(tmp_path: Path) -> None:
    """Somebody planned in the meantime: that plan's papers may be printed."""
    with opened(tmp_path) as ledger:
        record_plan(ledger, PLAN, after=None, who='Mira')
        with pytest.raises(LedgerBusy, match="somebody else recorded a plan"):
            record_plan(ledger, OTHER, after=None, who='Jo')
        assert PLAN == replay(ledger.records()).plan


def test_a_plan_afresh_is_refused_once_entries_are_there(tmp_path: Path) -> None:
    """Codes by which sheets came home are not thrown away; before that they may be."""
    with opened(tmp_path) as ledger:
        record_plan(ledger, PLAN, after=None, who='Mira')
        record_plan(ledger, OTHER, after=2, afresh=True, who='Mira')
        take_in(ledger, file='a.csv', digest=DIGEST, entries=[arrived()], held=[], who='Mira')
        with pytest.raises(UsageError, match=r"sheets are in already \(1 taken"):
            record_plan(ledger, PLAN, after=3, afresh=True, who='Mira')


@pytest.mark.parametrize('planned', [True, False])
def test_a_contradiction_does_not_name_the_wine_of_a_code(tmp_path: Path, planned: bool) -> None:
    """With a plan, a held row that has a code leaves its wine out, for the plan will find it."""
    with opened(tmp_path) as ledger:
        if planned:
            record_plan(ledger, PLAN, after=None, who='Mira')
        for aroma in (4.5, 5.0):
            entries = [arrived(code='483', aroma=aroma)]
            intake = take_in(
                ledger, file='a.csv', digest=DIGEST, entries=entries, held=[], who='Mira'
            )
    assert ['' if planned else 'w1'] == [row.original['wine'] for row in intake.held]
    assert ['483'] == [row.original['code'] for row in intake.held]
