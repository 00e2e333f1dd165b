"""What is expected of a learner before the first mark: how tasters of the panel differ.

Three wines brand nobody, because a learner starts from here and moves only as far as the marks
bear.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, sqrt

# Shares of the top mark, as measured on the invented tasting (20 points, 233 tasters, 8 wines);
# no source.
USUAL_SEVERITY, USUAL_NOISE, USUAL_BOTTLE = 0.05, 0.10, 0.02
USUAL_SPREAD = 0.26
# Noises of those tasters are alike as by 30 degrees of freedom. A learner is not yet taken to be
# so like them: our choice, measured in bench/teach.py.
USUAL_FREEDOM = 10.0
LEAST_SD = 1e-3
# How much of a learner's way of marking is still there next time; common practice, no source.
KEPT_TO_NEXT_SESSION, KEPT_TO_NEXT_YEAR = 0.95, 0.8


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure with its standard error and the ends of its 95 % interval."""

    value: float
    se: float
    low: float
    high: float

    def holds(self, value: float) -> bool:
        """Whether the interval holds this value."""
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class Prior:
    """Severity in points below the panel, spread (1 as the panel), noise of a mark in points.

    Severity and spread are normal with these means and standard deviations; the noise variance
    is a scaled inverse chi-square with `freedom` degrees of freedom about `noise`².
    """

    severity: float
    severity_sd: float
    spread: float
    spread_sd: float
    noise: float
    freedom: float


def panel_prior(
    severity_sd: float, spread_sd: float, noise_sd: float, freedom: float = USUAL_FREEDOM
) -> Prior:
    """A learner taken to be one more taster of a panel whose tasters differ by so much."""
    return Prior(
        0.0, max(severity_sd, LEAST_SD), 1.0, max(spread_sd, LEAST_SD), max(noise_sd, LEAST_SD),
        freedom,
    )  # fmt: skip


def usual_prior(top: float) -> Prior:
    """A panel of amateurs of whom nothing is known, for marks up to `top`."""
    return panel_prior(USUAL_SEVERITY * top, USUAL_SPREAD, USUAL_NOISE * top)


def carried(
    panel: Prior, severity: Estimate, spread: Estimate, noise: Estimate, kept: float
) -> Prior:
    """What was found before, as the prior for now; of each habit a share of `kept` stays.

    An autoregression of order 1 whose long run is the panel: mean μ + κ (m - μ) and variance
    κ² se² + (1 - κ²) σ². With `kept` 0 it is the panel, with 1 what was found. The noise goes the
    same way on the log scale, where the variance of a standard deviation with ν degrees of
    freedom is about 1 / (2 ν).
    """
    gone = 1.0 - kept**2
    level, level_sd = _towards(panel.severity, panel.severity_sd, severity.value, severity.se, kept)
    slope, slope_sd = _towards(panel.spread, panel.spread_sd, spread.value, spread.se, kept)
    found = log(noise.high / noise.low) / (2 * 1.96)
    unsure = kept**2 * found**2 + gone / (2.0 * panel.freedom)
    middle = log(panel.noise) + kept * (log(noise.value) - log(panel.noise))
    return Prior(level, level_sd, slope, slope_sd, exp(middle), max(2.0, 1.0 / (2.0 * unsure)))


def _towards(mean: float, sd: float, value: float, se: float, kept: float) -> tuple[float, float]:
    variance = kept**2 * min(se, sd) ** 2 + (1.0 - kept**2) * sd**2
    return mean + kept * (value - mean), max(LEAST_SD, sqrt(variance))
