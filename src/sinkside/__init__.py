"""Sinkside: from a maker's processing instruction to a route, papers and verdicts."""

from sinkside.__about__ import __version__

__all__ = ["__version__"]
