"""Halfpoint: from a room full of tasters to a result that can be defended."""

__version__ = '0.1.0'
