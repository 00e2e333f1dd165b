"""The colours of everything published, by role; each pair used for text meets WCAG AA."""

from __future__ import annotations

PAPER = '#f6f4ee'
CARD = '#fffdf8'
INK = '#1d2a2e'
SOFT = '#5b6a6c'
LINE = '#cfd3cc'
MOSS = '#2f6b57'
CLAY = '#b4532a'
HONEY = '#e9b949'
GRID = '#e3e5df'
MIST = '#dfe8e2'
