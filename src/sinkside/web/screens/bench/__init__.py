"""The bench: guided work, loads, cases, store, loans, handover and downtime, a module for each."""

from sinkside.web.screens.bench import codes, copies, exceptions, guide, index, taps
from sinkside.web.screens.bench.place import screen

__all__ = ["codes", "copies", "exceptions", "guide", "index", "screen", "taps"]
