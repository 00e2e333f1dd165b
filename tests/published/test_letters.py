"""Letter groups: multcomp's compact letter display of the same comparisons.

Piepho (2004), J. Comput. Graph. Stat. 13, 456: insert and absorb.  multcomp's
`insert_absorb` (1.4-22) goes on to sweep a letter from a wine where other letters say the
same; halfpoint leaves it, so that a letter stands for a whole group of wines no two of which
differ.  So each of multcomp's groups lies within one of halfpoint's.

Letters are compared as groups of wines, since which group is called a is a matter of taste.
Some patterns cannot be drawn as overlapping runs of a sorted list.

R:
    letters_of <- function(n, differ) {
      names <- LETTERS[1:n]
      pairs <- t(combn(names, 2))
      label <- paste(pairs[, 1], pairs[, 2], sep = '-')
      found <- multcomp:::insert_absorb(setNames(label %in% strsplit(differ, ' ')[[1]], label),
                                        decreasing = TRUE, comps = pairs, lvl_order = names)
      show(found$Letters)
    }
    letters_of(3, '')
    letters_of(4, 'A-C A-D B-D')
    letters_of(4, 'A-B A-C A-D B-C B-D C-D')
    letters_of(5, 'A-B C-D A-E')
    letters_of(5, 'A-B B-C C-D D-E A-E')
    letters_of(6, 'A-D B-E C-F A-F B-F A-E')
    letters_of(8, 'A-E A-F A-G A-H B-F B-G B-H C-F C-H D-G E-H')
    tukey <- function(name, formula, df) {
      fit <- tight(formula, marks(name))
      tests <- summary(glht(fit, mcp(wine = 'Tukey'), df = df))
      show(cld(tests, decreasing = TRUE)$mcletters$Letters)
    }
    tukey('penicillin', total ~ wine + (1 | taster), 115)
    tukey('ergostool', total ~ wine + (1 | taster), 24)
    tukey('appletaste', total ~ wine + (1 | taster), 40)
    tukey('machines', total ~ wine + (1 | taster) + (1 | taster:wine), 10)
    tukey('sim_full', total ~ wine + (1 | taster) + (1 | site), 748)
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from halfpoint.estimate.findings import MarkFindings
from halfpoint.estimate.letters import letter_groups
from halfpoint.estimate.weigh import weigh_mark

from . import sets

Groups = frozenset[frozenset[str]]

# Pairs that differ, and multcomp's letters of A, B, C and on.
PATTERNS = {
    '': 'a a a',
    'A-C A-D B-D': 'c bc ab a',
    'A-B A-C A-D B-C B-D C-D': 'd c b a',
    'A-B C-D A-E': 'cd ab bd ac ab',
    'A-B B-C C-D D-E A-E': 'de bc ae cd ab',
    'A-D B-E C-F A-F B-F A-E': 'd cd bd abc ab a',
    'A-E A-F A-G A-H B-F B-G B-H C-F C-H D-G E-H': 'f ef def cef be bc abd ac',
}

# multcomp's letters of the wines in sorted order, by Tukey contrasts of the REML fit.
DISPLAYS = {
    'penicillin': (('taster',), 'd c d b b a'),
    'ergostool': (('taster',), 'c b a c'),
    'appletaste': (('taster',), 'bc b c a'),
    'machines': (('taster', 'taster:wine'), 'b a a'),
    'sim_full': (('taster', 'site'), 'd c b ac b a c ac'),
}


def _groups(letters: dict[str, str]) -> Groups:
    """The wines behind each letter."""
    used = set(''.join(letters.values()))
    return frozenset(
        frozenset(wine for wine, text in letters.items() if letter in text) for letter in used
    )


@pytest.mark.parametrize(('differ', 'expected'), PATTERNS.items())
def test_groups_of_a_pattern(differ: str, expected: str) -> None:
    """The groups behind the letters hold multcomp's, and say exactly which pairs differ."""
    names = 'ABCDEFGH'[: len(expected.split())]
    apart = {frozenset(pair.split('-')) for pair in differ.split()}
    table = np.array([[frozenset((a, b)) in apart for b in names] for a in names])
    found = dict(zip(names, letter_groups(-np.arange(len(names)), table), strict=True))
    groups = _groups(found)
    swept = _groups(dict(zip(names, expected.split(), strict=True)))
    assert all(any(part <= group for group in groups) for part in swept)
    for a, b in combinations(names, 2):
        assert (frozenset((a, b)) in apart) == (not set(found[a]) & set(found[b]))


def _weighed(name: str, effects: tuple[str, ...]) -> MarkFindings:
    return weigh_mark(getattr(sets, name)(), effects=effects)


@pytest.mark.parametrize(('name', 'display'), DISPLAYS.items())
def test_letters_of_a_data_set(name: str, display: tuple[tuple[str, ...], str]) -> None:
    """Open data sets get multcomp's letters, the highest score an a."""
    effects, expected = display
    found = _weighed(name, effects)
    letters = {wine.wine: wine.letters for wine in found.wines}
    assert _groups(dict(zip(sorted(letters), expected.split(), strict=True))) == _groups(letters)
    assert 'a' in found.wines[0].letters
