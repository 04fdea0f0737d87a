"""The bench: guided work, loads, cases, store, loans, handover and downtime, a module for each."""

from sinkside.web.screens.bench import exceptions
from sinkside.web.screens.bench.place import screen

__all__ = ["exceptions", "screen"]
