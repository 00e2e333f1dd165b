"""Facts of serving: temperatures, what to set out, cautions. Common practice, no source."""

from __future__ import annotations

from halfpoint.tasting.model import Wine

_TEMPERATURES = {
    'sparkling': "6 to 8 °C",
    'white': "8 to 12 °C",
    'rose': "8 to 12 °C",
    'orange': "12 to 14 °C",
    'red': "15 to 18 °C",
    'sweet': "6 to 10 °C",
    'fortified': "12 to 16 °C",
}

CAUTIONS = (
    "Everyone may spit, and most of what is poured is best spat out. Nobody has to finish a glass.",
    "Water and food stay on the table all evening; nobody starts on an empty stomach.",
    "Nobody who tastes drives, cycles or works machines afterwards. Lifts home are settled first.",
    "Serve nobody below the legal age. Ask for papers where you do not know.",
    "Pour for nobody who is pregnant, ill with drink, or on medicines that forbid alcohol.",
    "Wine holds sulphites, and may hold traces of egg, milk or fish. Ask about allergies.",
    "Stop pouring for anyone who has had too much. In an emergency call for help at once.",
    "Local law, and the licence where one is needed to pour or charge, hold before this sheet.",
)


def temperature(wine: Wine) -> str:
    """At what temperature a wine of this style is usually served."""
    return _TEMPERATURES.get(wine.style or '', "as usual for it")
