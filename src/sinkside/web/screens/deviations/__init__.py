"""Deviations: the list, one of them, a new one, and the charts."""

from sinkside.web.screens.deviations import charts, index, new, one
from sinkside.web.screens.deviations.place import screen

__all__ = ["charts", "index", "new", "one", "screen"]
