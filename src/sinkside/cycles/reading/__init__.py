"""Any recorder's file as a trace: text of many layouts and dialects, or Parquet."""

from sinkside.cycles.reading.beside import laid_beside
from sinkside.cycles.reading.options import Reading
from sinkside.cycles.reading.reader import read_trace, reader_for, trace_from_bytes
from sinkside.cycles.reading.saved import Reader, ReaderColumn

__all__ = ["Reader", "ReaderColumn", "Reading", "laid_beside", "read_trace", "reader_for", "trace_from_bytes"]
