"""The bench: guided work, loads, cases, store, loans, handover and downtime, a module for each."""

from sinkside.web.screens.bench import (
    arrivals,
    cases,
    codes,
    copies,
    downtime,
    exceptions,
    guide,
    immediate_use,
    index,
    load_one,
    loads,
    loans,
    shifts,
    store,
    taps,
    theatre,
)
from sinkside.web.screens.bench.place import screen

__all__ = [
    "arrivals",
    "cases",
    "codes",
    "copies",
    "downtime",
    "exceptions",
    "guide",
    "immediate_use",
    "index",
    "load_one",
    "loads",
    "loans",
    "screen",
    "shifts",
    "store",
    "taps",
    "theatre",
]
