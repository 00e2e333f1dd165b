"""The model by brute force: matrices as large as the marks, and nothing shared with halfpoint.

V = I + Σ φᵢ ZᵢZᵢᵀ is built in full, so that every formula can be written as in a textbook.
Sources: Searle, Casella and McCulloch (1992), Variance Components, chapters 6 and 7 (the
restricted likelihood, Henderson's mixed-model equations and their covariance).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from scipy.optimize import minimize


@dataclass(frozen=True)
class Dense:
    """X (n, p), one Z (n, levels) per random effect, y (n,)."""

    X: np.ndarray
    Zs: tuple[np.ndarray, ...]
    y: np.ndarray

    def _solved(self, ratios):
        V = np.eye(self.y.size) + sum(
            (phi * Z @ Z.T for phi, Z in zip(ratios, self.Zs, strict=True)),
            np.zeros((self.y.size, self.y.size)),
        )
        W = np.linalg.inv(V)
        XWX = self.X.T @ W @ self.X
        beta = np.linalg.solve(XWX, self.X.T @ W @ self.y)
        return V, W, XWX, beta, self.y - self.X @ beta

    def variance(self, ratios) -> float:
        """The REML estimate of σ² at given ratios."""
        _, W, _, _, left = self._solved(ratios)
        return float(left @ W @ left) / (self.y.size - self.X.shape[1])

    def criterion(self, ratios, variance=None) -> float:
        """−2 log restricted likelihood, σ² profiled out unless given."""
        V, W, XWX, _, left = self._solved(ratios)
        free = self.y.size - self.X.shape[1]
        square = float(left @ W @ left)
        variance = square / free if variance is None else variance
        logdets = np.linalg.slogdet(V)[1] + np.linalg.slogdet(XWX)[1]
        return logdets + free * np.log(2 * np.pi * variance) + square / variance

    def gradient(self, ratios) -> np.ndarray:
        """Derivative of the profiled criterion by each ratio: tr(PZZᵀ) − yᵀPZZᵀPy / σ²."""
        _, W, XWX, _, _ = self._solved(ratios)
        P = W - W @ self.X @ np.linalg.inv(XWX) @ self.X.T @ W
        variance = self.variance(ratios)
        return np.array(
            [np.trace(Z.T @ P @ Z) - np.sum((Z.T @ P @ self.y) ** 2) / variance for Z in self.Zs]
        )

    def fit(self, starts=(0.05, 0.5, 3.0)) -> tuple[np.ndarray, float]:
        """Ratios at the least criterion, by L-BFGS-B from several starts, and that criterion."""
        best = None
        for start in starts:
            found = minimize(
                self.criterion,
                np.full(len(self.Zs), start),
                jac=self.gradient,
                bounds=[(0, None)] * len(self.Zs),
                method='L-BFGS-B',
                options={'ftol': 1e-15, 'gtol': 1e-9},
            )
            if best is None or found.fun < best.fun:
                best = found
        return best.x, float(best.fun)

    def henderson(self, ratios):
        """β̂, predictions of each effect, and the covariance of (β̂ − β, û − u) over σ².

        Effects with a ratio of zero are left out and predicted as zero.
        """
        used = [i for i, phi in enumerate(ratios) if phi > 0]
        Z = np.hstack([self.X, *(self.Zs[i] for i in used)])
        penalty = np.concatenate(
            [np.zeros(self.X.shape[1])]
            + [np.full(self.Zs[i].shape[1], 1 / ratios[i]) for i in used]
        )
        C = np.linalg.inv(Z.T @ Z + np.diag(penalty))
        solution = C @ Z.T @ self.y
        ends = np.cumsum([self.X.shape[1], *(self.Zs[i].shape[1] for i in used)])
        effects = [np.zeros(Zi.shape[1]) for Zi in self.Zs]
        places = [None] * len(self.Zs)
        for at, i in enumerate(used):
            places[i] = slice(ends[at], ends[at + 1])
            effects[i] = solution[places[i]]
        return solution[: self.X.shape[1]], effects, C, places


def indicators(values: pl.Series) -> np.ndarray:
    """A column of ones and zeros for each level, levels in sorted order."""
    levels = sorted(set(values.to_list()))
    return np.array([[float(v == level) for level in levels] for v in values.to_list()])


def columns_of(frame: pl.DataFrame, effect: str) -> np.ndarray:
    """Z of an effect; bottle is site by wine."""
    parts = ('site', 'wine') if effect == 'bottle' else tuple(effect.split(':'))
    if len(parts) == 1:
        return indicators(frame[effect])
    # Tuples sort as the combinations of the sorted levels do.
    return indicators(
        pl.Series([tuple(row) for row in frame.select(parts).rows()], dtype=pl.Object)
    )


def dense(frame: pl.DataFrame, effects, *, wines='fixed', covariates=()) -> Dense:
    """The model of a frame; with random wines they are the last effect."""
    extra = [
        (frame[name].to_numpy() - frame[name].to_numpy().mean())[:, None] for name in covariates
    ]
    first = indicators(frame['wine']) if wines == 'fixed' else np.ones((frame.height, 1))
    named = (*effects, 'wine') if wines == 'random' else tuple(effects)
    Zs = tuple(columns_of(frame, name) for name in named)
    return Dense(np.hstack([first, *extra]), Zs, frame['total'].to_numpy())
