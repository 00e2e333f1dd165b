"""Cautions for those who taste."""

from __future__ import annotations

CAUTIONS = (
    "Spit as often as you like. Nobody has to finish a glass.",
    "Eat before you start. Keep water at hand, and drink it.",
    "Do not drive, cycle or work machines afterwards. Settle the way home first.",
    "Wine is for those of legal age where you are.",
    (
        "Do not taste if you are pregnant, if drink has been a trouble to you, "
        "or if your medicine and alcohol do not mix."
    ),
    (
        "Wine holds sulphites. It may hold traces of egg, milk or fish. "
        "If you have an allergy, ask first."
    ),
    "Stop when you have had enough. Local law comes before this page.",
)
