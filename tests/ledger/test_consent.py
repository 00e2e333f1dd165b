"""Who agreed to a letter, as the record has it."""

from __future__ import annotations

from pathlib import Path

from halfpoint.ledger.consent import record_letter, wants_letter, who_want_letters
from halfpoint.ledger.history import history
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.replay import replay
from halfpoint.tasting.load import load_tasting

FILE = """
[tasting]
key = "a"
title = "A"
[[wine]]
key = "w"
name = "W"
[[taster]]
key = "ann"
letter = true
[[taster]]
key = "bob"
"""


def test_the_last_word_counts_and_is_recorded_once(tmp_path: Path) -> None:
    """The file until somebody says otherwise; the same said again adds nothing."""
    (tmp_path / 'a.toml').write_text(FILE, encoding='utf-8')
    tasting = load_tasting(tmp_path / 'a.toml')
    with Ledger.open(tmp_path / 'a.ledger', tasting_key='a', create=True) as ledger:
        state = replay(ledger.records())
        assert [True, False, False] == [
            wants_letter(tasting, state, key) for key in ('ann', 'bob', 'cam')
        ]
        for taster, wanted in (('ann', True), ('ann', False), ('ann', False), ('cam', True)):
            record_letter(ledger, state, tasting, taster, wanted=wanted, who=taster)
        assert ['cam'] == [taster.key for taster in who_want_letters(tasting, state)]
        told = [each.what for each in history(ledger.records()) if each.kind == 'consent']
        assert ledger.verify().holds
    assert ["ann does not want a letter", "cam agreed to a letter"] == told
