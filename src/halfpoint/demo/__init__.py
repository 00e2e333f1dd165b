"""The invented tasting, and the simulator that fills it in."""
