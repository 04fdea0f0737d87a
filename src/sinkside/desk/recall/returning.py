"""A set that an open recall asks for comes back from theatre: it is held, and goes out to no other case."""

from __future__ import annotations

from datetime import datetime

from sinkside.bench.doing import held
from sinkside.bench.run import Run
from sinkside.desk.concerning import concerning
from sinkside.desk.keeping import read_kept
from sinkside.desk.ports import Unit
from sinkside.desk.recall.documents import Recall
from sinkside.desk.recall.rights import KIND


def held_if_recalled(unit: Unit, department: str, run: Run, *, at: datetime, by: str) -> Run:
    """A run that came back into the store, held once for each open recall that reached it."""
    for subject in concerning(unit, department, run.copy_id):
        kind, _, recall = subject.partition(":")
        known = read_kept(unit, KIND, recall, Recall) if kind == KIND else None
        if known is not None and known.closed is None and run.id in {one.run for one in known.open_sets}:
            run = held(run, f"recall: {known.cause.words}", at=at, by=by)
    return run
