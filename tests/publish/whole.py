"""A small invented tasting with words, faults, seconds and remarks, for the whole result."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import polars as pl

from halfpoint.aroma.words import SheetWords
from halfpoint.estimate.findings import Findings
from halfpoint.estimate.result import About, Model
from halfpoint.estimate.weigh import MarkToWeigh
from halfpoint.publish.whole_result import Depth, whole_result

WINES = ('Alder', 'Beech', 'Cherry', 'Damson')
TOPS = {'nose': 6.0, 'mouth': 14.0}
MARKS = (
    MarkToWeigh('total', "Total", 20.0, 0.0, 0.5),
    *(MarkToWeigh(key, key.capitalize(), top, 0.0, 0.5) for key, top in TOPS.items()),
)
WORDS = SheetWords(
    {'lime': "lime", 'plum': "plum", 'hay': "hay", 'never': "never ticked"}, {}, {'cork': "cork"}
)


def frame(tasters: int = 16, sites: int = 4, wines: Sequence[str] = WINES) -> pl.DataFrame:
    """A row a pour in half points; later wines are better, and each has a word of its own.

    The first wine is spoiled in the second room.
    """
    rng = np.random.default_rng(7)
    severity = rng.normal(0, 0.8, tasters)
    rows: list[dict[str, Any]] = []
    for taster in range(tasters):
        for number, wine in enumerate(wines):
            push = 0.5 * number + severity[taster] + rng.normal(0, 0.9)
            spoiled = wine == wines[0] and taster % sites == 1
            push -= 5 * spoiled
            nose = float(np.clip(round(2 * (4 + 0.3 * push)) / 2, 0, 6))
            mouth = float(np.clip(round(2 * (9.5 + 0.7 * push)) / 2, 0, 14))
            own = ('lime', 'plum', 'hay')[number % 3]
            said = [word for word in ('lime', 'plum', 'hay') if rng.random() < 0.1]
            rows.append({
                'taster': f'T{taster:02d}', 'site': f'S{taster % sites}', 'wine': wine,
                'nose': nose, 'mouth': mouth, 'total': nose + mouth,
                'terms': sorted({own, *said}) if rng.random() < 0.7 else said,
                'faults': ['cork'] if spoiled else [],
                'finish_seconds': float(10 + number + taster % 5),
                'remark': "a little limes and hay" if taster == 3 else '',
            })  # fmt: skip
    return pl.DataFrame(rows, schema_overrides={'faults': pl.List(pl.String)})


def found(table: pl.DataFrame, *, least: int = 1, effects: Any = None) -> Findings:
    """The whole result of a table."""
    about = About("Trees", "Two categories", "invented.csv", invented=True)
    return whole_result(
        table, MARKS, Model(effects=effects), about, words=WORDS, depth=Depth(least=least)
    )


def with_marks(table: pl.DataFrame, marks: Mapping[str, float]) -> pl.DataFrame:
    """The table with the total of each wine as given, the mouth taking what the nose leaves."""
    total = pl.col('wine').replace_strict(dict(marks), return_dtype=pl.Float64)
    return table.with_columns(nose=pl.lit(4.0), mouth=total - 4.0, total=total)
