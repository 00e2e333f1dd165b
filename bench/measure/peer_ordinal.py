"""R's ordinal (clmm) and statsmodels as peers for ordered steps: the same marks, fit only."""

from __future__ import annotations

import json
import shutil
import subprocess
import tempfile
import time
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import polars as pl

SCRIPT = Path(__file__).parents[1] / 'peers' / 'ordinal.R'
HINT = (
    "R with ordinal and jsonlite is not there "
    "(on Debian: apt-get install r-cran-ordinal r-cran-jsonlite)"
)


@dataclass(frozen=True, slots=True)
class PeerSteps:
    """What a peer says: seconds of the fit alone, log-likelihood, warnings, who it was."""

    seconds: float
    loglik: float
    warnings: list[str]
    version: str


def fit_with_clmm(frame: pl.DataFrame, link: str, nodes: int) -> PeerSteps | None:
    """Fit `step ~ wine + (1 | taster)` in a process of its own; None where R's part is missing."""
    if shutil.which('Rscript') is None:
        return None
    with tempfile.TemporaryDirectory() as folder:
        table, answer = Path(folder) / 'marks.csv', Path(folder) / 'answer.json'
        frame.write_csv(table)
        command = ['Rscript', '--vanilla', str(SCRIPT), str(table), link, str(nodes), str(answer)]
        if subprocess.run(command, check=False, capture_output=True).returncode:
            return None
        said = json.loads(answer.read_text())
    return PeerSteps(said['seconds'], said['loglik'], said['warnings'], said['version'])


def fit_with_statsmodels(frame: pl.DataFrame) -> PeerSteps:
    """Fit `step ~ wine` without tasters by statsmodels' OrderedModel (BFGS)."""
    import statsmodels
    from statsmodels.miscmodels.ordinal_model import OrderedModel

    wine = frame['wine'].to_numpy()
    columns = np.eye(int(wine.max()) + 1)[wine][:, 1:]
    with warnings.catch_warnings():
        warnings.simplefilter('ignore')
        start = time.perf_counter()
        fit = OrderedModel(frame['step'].to_numpy(), columns, distr='logit').fit(
            method='bfgs', disp=False, maxiter=500
        )
        seconds = time.perf_counter() - start
    return PeerSteps(seconds, float(fit.llf), [], f'statsmodels {statsmodels.__version__}')
