"""Tasters who use the scale differently: severity, spread and noise of each."""
