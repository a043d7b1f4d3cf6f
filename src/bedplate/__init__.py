"""Bedplate: the record of an engine overhaul, and the arithmetic of its clearances."""

__version__ = "0.1.0"
