"""The bench in the archive: copies, runs, loads, cases and taps, behind one door."""

from sinkside.archive.bench.tables import BenchTables

__all__ = ["BenchTables"]
