"""Recompute the frozen figures of one outside check with R, and print them for comparison.

    .venv/bin/python -m published.regenerate penicillin      (from tests/)

runs the R code in the docstring of `test_penicillin.py`. Nothing is written: figures are
copied by hand, knowingly. Needs R with lme4, lmerTest, emmeans, multcomp (Debian's packages).
"""

from __future__ import annotations

import ast
import subprocess
import sys
import tempfile
from pathlib import Path

import polars as pl

from . import sets

HERE = Path(__file__).parent
FRAMES = (
    'penicillin',
    'sleepstudy',
    'machines',
    'ergostool',
    'french_fries',
    'appletaste',
    'ham',
    'sim_full',
)
READ = """
source('{here}/tight.R')
marks <- function(name) {{
  table <- read.csv(file.path('{folder}', paste0(name, '.csv')))
  numeric <- names(table) %in% c('total', 'position', 'days')
  table[!numeric] <- lapply(table[!numeric], factor)
  table
}}
"""


def r_code(module: Path) -> str:
    """The indented lines after the line 'R:' of a module's docstring."""
    docstring = ast.get_docstring(ast.parse(module.read_text())) or ''
    _, _, code = docstring.partition('\nR:\n')
    return '\n'.join(line[4:] for line in code.splitlines())


def run(name: str) -> None:
    """Run the R code of `test_<name>.py` on the frames of `sets`."""
    with tempfile.TemporaryDirectory() as folder:
        for frame in FRAMES:
            table: pl.DataFrame = getattr(sets, frame)()
            table.write_csv(Path(folder) / f'{frame}.csv')
        script = Path(folder) / 'script.R'
        read = READ.format(here=HERE.as_posix(), folder=folder)
        script.write_text(read + r_code(HERE / f'test_{name}.py'))
        subprocess.run(['Rscript', '--vanilla', script], check=True)


if __name__ == '__main__':
    run(sys.argv[1])
