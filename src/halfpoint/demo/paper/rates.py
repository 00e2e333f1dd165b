"""How often people do what on a score sheet: shares by judgement, no source.

They are set so that a bench of some thousand pages meets each many times.
"""

from __future__ import annotations

PENCILS = ('soft pencil', 'hard pencil')

PENS = {
    'black ballpoint': 0.26,
    'blue ballpoint': 0.27,
    'red ballpoint': 0.05,
    'black gel': 0.11,
    'blue gel': 0.05,
    'soft pencil': 0.13,
    'hard pencil': 0.07,
    'felt tip': 0.06,
}

MARKS = {
    'fill': 0.52,
    'scribble': 0.14,
    'zigzag': 0.08,
    'cross': 0.09,
    'tick': 0.07,
    'dot': 0.04,
    'dash': 0.03,
    'ring': 0.03,
}

BOX_MARKS = {'cross': 0.46, 'tick': 0.28, 'slash': 0.1, 'fill': 0.08, 'dot': 0.05, 'hook': 0.03}

# What happens on one line; the rest of the lines are clean.
ROW_EVENTS = {
    'corrected': 0.012,
    'erased': 0.008,
    'double': 0.002,
    'blank': 0.005,
    'between': 0.001,
    'started': 0.002,
    'heavier': 0.0007,
    'other style': 0.004,
    'withdrawn': 0.0007,
    'written': 0.0007,
    'restored': 0.0004,
    'with number': 0.001,
}
ONLY_PENCILS = ('erased',)

# How a mark is taken back, and what is added to make the new one plain.
STRIKES = {'cross': 0.4, 'line': 0.22, 'lines': 0.16, 'scribble': 0.22}
EXTRAS = {'': 0.62, 'ring': 0.12, 'arrow': 0.08, 'word': 0.09, 'number': 0.09}

TICKED = 0.10
BAND_TICKED = 0.4
BOX_WITHDRAWN = 0.006
# Writers who ring the word beside a box instead, every second time.
RINGS_WORDS = 0.01

SAME_VALUE_PAGE = 0.03
WINE_LEFT_BLANK = 0.012
WRITES_TOTAL = 0.7
WRITES_SECONDS = 0.3
WRONG_TOTAL = 0.02
WRITES_REMARK = 0.55
REMARK_CLIMBS = 0.06
REMARK_RUNS_RIGHT = 0.05
UNDERLINES = 0.03
RINGS_CODE = 0.02
DOODLES = 0.05
WRITES_IN_MARGIN = 0.04
LOW_TONER = 0.06
