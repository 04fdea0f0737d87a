"""Cycles of one Parquet file taken apart, each as a Parquet file of its own."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path

from sinkside.cycles.many.columns import KeyColumns
from sinkside.cycles.many.record import Said
from sinkside.cycles.many.tables import cycles_in, frames_of, metadata_of
from sinkside.errors import BadInput

#: What the format itself keeps beside what a recorder says.
_OF_THE_FORMAT = "ARROW:schema"


@dataclass(frozen=True)
class OneCycle:
    """One cycle as a file of its own: its name, and the Parquet."""

    name: str
    data: bytes


def taken_apart(path: Path) -> list[OneCycle]:
    """The cycles of a Parquet file, in its order; none where nothing tells cycles apart, or it holds one.

    Args:
        path: The file.

    Raises:
        UnreadableFile: if the file is damaged or cut off.
        BadInput: if rows name no cycle, or cycles name several machines or programs: who hands the file in
            says one of each.
    """
    records = cycles_in(path, path.name, KeyColumns(), Said())
    if len(records) == 1:
        return []
    for record in records:
        if record.refused:
            raise BadInput(record.refused, resource=path.name)
    _refuse_several("machines", {record.said.machine for record in records}, path)
    _refuse_several("programs", {record.said.program for record in records}, path)
    said = {key: value for key, value in metadata_of(path).items() if key != _OF_THE_FORMAT}
    apart = []
    for record, frame in zip(records, frames_of(records), strict=True):
        held = io.BytesIO()
        frame.write_parquet(held, metadata=said)
        apart.append(OneCycle(record.name, held.getvalue()))
    return apart


def _refuse_several(what: str, named: set[str], path: Path) -> None:
    if len(named) > 1:
        told = ", ".join(sorted(name or "none" for name in named))
        raise BadInput(
            f"its cycles name several {what} ({told}); hand in those of each apart", resource=path.name
        )
