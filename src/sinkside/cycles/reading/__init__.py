"""Any recorder's file as a trace: delimited text in many dialects, or Parquet."""

from sinkside.cycles.reading.options import Reading
from sinkside.cycles.reading.reader import read_trace

__all__ = ["Reading", "read_trace"]
