"""A recorder file's bytes as a table: delimited, spaced or printed text, turned either way, or Parquet."""

from __future__ import annotations

from sinkside.cycles.reading.decoding import lines_of
from sinkside.cycles.reading.delimited import read_delimited
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.parquet import PARQUET_MARK, read_parquet
from sinkside.cycles.reading.spaced import read_spaced
from sinkside.cycles.reading.tape import read_tape
from sinkside.cycles.reading.turned import one_row_per_sample, read_transposed
from sinkside.errors import UnreadableFile


def read_table(data: bytes, *, resource: str) -> Table:
    """The table in a file's bytes, with a row for each sample.

    Raises:
        UnreadableFile: if there is no table in it, or no line that names the columns.
    """
    if data.startswith(PARQUET_MARK):
        return one_row_per_sample(read_parquet(data, resource=resource))
    lines = lines_of(data, resource=resource)
    if not lines.texts:
        raise UnreadableFile("there is nothing in this file; expected a head and samples", resource=resource)
    table = (
        read_transposed(lines)
        or read_delimited(lines, resource=resource)
        or read_spaced(lines)
        or read_tape(lines)
    )
    if table is None:
        raise UnreadableFile(
            "no table can be found; expected columns parted by comma, semicolon, tab or spaces",
            resource=resource,
        )
    return one_row_per_sample(table)
