"""Everything of the bench that one transaction can reach."""

from __future__ import annotations

from sinkside.archive.bench.cases import CaseTable
from sinkside.archive.bench.copies import CopyTable
from sinkside.archive.bench.loads import LoadTable
from sinkside.archive.bench.runs import RunTable
from sinkside.archive.bench.taps import TapTable
from sinkside.archive.bench.tracing import TracingTable
from sinkside.archive.connection import Transaction


class BenchTables:
    """Copies, runs, loads, cases and taps in one transaction."""

    def __init__(self, transaction: Transaction) -> None:
        self.copies = CopyTable(transaction)
        self.runs = RunTable(transaction)
        self.loads = LoadTable(transaction)
        self.cases = CaseTable(transaction)
        self.taps = TapTable(transaction)
        self.tracing = TracingTable(transaction)
