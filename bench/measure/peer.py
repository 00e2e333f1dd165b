"""R's lme4 as peer: the same marks, the same model, its default settings, fit only."""

from __future__ import annotations

import json
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

import polars as pl

SCRIPT = Path(__file__).parents[1] / 'peers' / 'lme4.R'
HINT = (
    "R with lme4 and jsonlite is not there (on Debian: apt-get install r-cran-lme4 r-cran-jsonlite)"
)


@dataclass(frozen=True, slots=True)
class PeerFit:
    """What lme4 says: seconds of the call of lmer alone, REML criterion, who it was."""

    seconds: float
    criterion: float
    variances: dict[str, float]
    warnings: list[str]
    version: str


def fit_with_lme4(frame: pl.DataFrame, formula: str) -> PeerFit | None:
    """Fit with lme4 in a process of its own, or None where R is not installed.

    Reading the file and making factors is not in the seconds.
    """
    if shutil.which('Rscript') is None:
        return None
    with tempfile.TemporaryDirectory() as folder:
        table, answer = Path(folder) / 'marks.csv', Path(folder) / 'answer.json'
        frame.write_csv(table)
        command = ['Rscript', '--vanilla', str(SCRIPT), str(table), formula, str(answer)]
        if subprocess.run(command, check=False).returncode:
            return None
        said = json.loads(answer.read_text())
    return PeerFit(
        said['seconds'], said['criterion'], said['variances'], said['warnings'], said['version']
    )
