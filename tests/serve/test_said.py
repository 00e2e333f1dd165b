"""Every sentence that the server can send has words in the other language, or is told to have none.

Strings that a person reads stand in double quotes (pyproject.toml), so the source tells them all.
"""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import halfpoint

SOURCE = Path(halfpoint.__file__).parent
WORDS = Path(__file__).parents[2] / 'web' / 'src' / 'words'
CATALOGUES = sorted((WORDS / 'de' / 'told').glob('*.json'))
# Where what a taster, a host or the organiser meets on a page is said.
SAYING = (
    'serve/*.py', 'serve/*/*.py', 'sheet/*.py', 'collect/phone/*.py',
    'collect/paper/read/*.py', 'collect/paper/read/source/*.py',
    'collect/table/aside.py', 'collect/table/by_plan.py', 'collect/table/known_names.py',
    'collect/table/marks.py', 'collect/table/people.py', 'collect/table/repeats.py',
    'aroma/describe.py', 'estimate/say.py', 'estimate/scale/from_weighing.py',
    'panel/describe.py', 'publish/from_record.py', 'publish/withheld.py', 'publish/words.py',
    'ledger/another_picture.py', 'ledger/bundle.py', 'ledger/changes.py', 'ledger/cleaned.py',
    'ledger/contradiction.py', 'ledger/decided.py', 'ledger/from_paper.py',
    'ledger/from_phone.py', 'ledger/ledger.py', 'ledger/look.py', 'ledger/look_words.py',
    'ledger/moves.py', 'ledger/paper.py', 'ledger/pictures.py', 'ledger/planned.py',
    'ledger/postgres_store.py', 'ledger/records.py', 'ledger/review.py', 'ledger/stores.py',
    'plan/again.py', 'plan/make.py', 'plan/pouring.py', 'plan/printed.py',
    'plan/tally.py', 'publish/handouts/care.py', 'publish/handouts/joined.py',
    'publish/handouts/score_sheets.py', 'publish/handouts/single.py', 'tasting/load.py',
    'tasting/planning.py', 'tasting/record_place.py', 'writing.py',
)  # fmt: skip
# What is said in the terminal alone, in a log, to programs, or before there is a page.
NOT_ON_A_PAGE = (
    'serve/alone.py', 'serve/answers.py', 'serve/app.py', 'serve/authority.py',
    'serve/certificates.py',
    'serve/desk_file.py', 'serve/desk_store.py', 'serve/document.py',
    'serve/guard/headers.py', 'serve/run.py',
    'serve/static.py', 'collect/paper/read/pool.py',
)  # fmt: skip
# Sentences that stay English, or are put together of parts that are said by themselves.
STAYS = {
    "{} in {}", "{} and {}", "phone of", "typed in for", "from {}", "until {}",
    "  {}: found {}; expected {}",
    "sheets {}, by the server's clock", " (and {} more to mend)",
    " (a spreadsheet may have made a date of it)",
    # Names of those who act, of places in a file, and of options; where it was is not shown.
    "host of {}", "asked for", "key", "name", "target", "who", "--who", "--why", "--set",
    "--afresh", "--ledger", "{}: site '{}'", "{}: wine {} '{}', key bottles",
    "{}: site '{}', capacity",
    "tasting, key closes", "tasting, key ledger", "tasting, key sheet",
    "taster {} '{}', key site", "{} {} '{}', key key",
    # On paper, which is printed in English.
    "Total", "all", "All sites", "as usual for it", "6 to 8 °C", "8 to 12 °C", "12 to 14 °C",
    "15 to 18 °C", "6 to 10 °C", "12 to 16 °C",
    # The name of what a practice set was made from; learners give it another.
    "the result",
    # Findings of which whole sentences are in put-together.json; the rest is for the report, which
    # is English, as the desk says sources and steps in words of its own.
    "{} Weighing steadier tasters more moves no wine by more than {} points.",
    "{} follows", "{} follow together", "{} follow, with no clear line between neighbours",
    "{} Each group has its own result.", "Then {} {}.", "{} {} below {}.", "The {} {}",
    "{} {} {} others", "and", "comes", "come", "stands", "stand", "other", "next", "No wine",
    "The marks", "The wines", "As far", "Only", "adds", "takes", "One more of {}",
    "{} {} about {} ({}).", "{} {}, against the first level,", "one {} from another",
    "{} makes no difference that the marks can show ({} points).",
    "Each place later in the serving order", "none that the marks can show",
    "one taster from another", "one room from another", "one wine from another",
    "one room's bottle from another's, same wine", "one mark from the next, all else alike",
    "one taster's liking of a wine from another's", "has no place that can be told",
    "is hardly the best", "is almost surely the best", "is probably the best",
    "is more likely the best than not", "may be the best", "is probably not the best",
    "scale use",
    # A mishap in the log.
    "a mishap: %s %s",
}  # fmt: skip
# English that is put together at run time, of which no whole is in the source.
PUT_TOGETHER = 'put-together.json'


def _said(path: Path) -> Iterator[str]:
    """What a module says in double quotes, with `{}` for what is filled in."""
    text = path.read_text(encoding='utf-8')
    tree, lines = ast.parse(text), text.encode().splitlines()
    beside: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            beside.add(node.value)
        if isinstance(node, ast.JoinedStr):
            beside |= set(node.values)
        # Descriptions go into the OpenAPI document.
        if isinstance(node, ast.keyword) and node.arg == 'description':
            beside.add(node.value)
        if isinstance(node, ast.Dict):
            pairs = zip(node.keys, node.values, strict=True)
            beside |= {value for key, value in pairs if _is_description(key)}
        if isinstance(node, ast.FormattedValue) and isinstance(node.format_spec, ast.JoinedStr):
            beside |= {node.format_spec, *node.format_spec.values}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant | ast.JoinedStr) or node in beside:
            continue
        begins = lines[node.lineno - 1][node.col_offset :].decode(errors='replace')
        if re.match(r'[a-z]*"', begins):
            yield _shape(node)


def _is_description(key: ast.AST | None) -> bool:
    return isinstance(key, ast.Constant) and key.value == 'description'


def _shape(node: ast.Constant | ast.JoinedStr) -> str:
    if isinstance(node, ast.Constant):
        return re.sub(r'\{\w+(:\w+)?\}', '{}', str(node.value))
    return ''.join(v.value if isinstance(v, ast.Constant) else '{}' for v in node.values)


def _modules() -> list[Path]:
    found = {path for pattern in SAYING for path in SOURCE.glob(pattern)}
    return sorted(found - {SOURCE / name for name in NOT_ON_A_PAGE})


def _catalogue(*but: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for path in CATALOGUES:
        if path.name not in but:
            found |= json.loads(path.read_text(encoding='utf-8'))
    return found


def _without_names(key: str) -> str:
    return re.sub(r'\{\w+(:n)?\}', '{}', key)


def _is_words(shape: str) -> bool:
    """Whether something is said there, more than a sign or a unit."""
    return bool(re.search(r'[A-Za-z]{3}', shape.replace('{}', '')))


@pytest.mark.parametrize('path', _modules(), ids=lambda path: str(path.relative_to(SOURCE)))
def test_every_sentence_has_words_in_both_languages(path: Path) -> None:
    """No module that pages hear from says anything that no catalogue has."""
    known = {_without_names(key) for key in _catalogue()} | STAYS
    assert [] == [shape for shape in _said(path) if _is_words(shape) and shape not in known]


def test_no_catalogue_has_what_nobody_says() -> None:
    """A sentence that the source does not have any more is taken out of the catalogues too."""
    said = {shape for path in SOURCE.rglob('*.py') for shape in _said(path)}
    keys = _catalogue(PUT_TOGETHER)
    assert [] == [key for key in keys if _without_names(key) not in said]


def test_no_sentence_is_in_two_catalogues() -> None:
    """Each sentence is said in one place."""
    every = [key for path in CATALOGUES for key in json.loads(path.read_text(encoding='utf-8'))]
    assert len(every) == len({_without_names(key) for key in every})
