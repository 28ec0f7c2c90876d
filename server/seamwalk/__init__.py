"""Seamwalk: plan a modular LED wall, walk its every joint offline, keep what was found in a book."""

__version__ = "0.1.0"
