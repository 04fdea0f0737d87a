"""Links from elsewhere to the evidence of a run or a load, for whoever may read it."""

from __future__ import annotations

from sinkside.desk.evidence.gathering import READ
from sinkside.web.asked import Asked


def evidence_of_run(asked: Asked, run: str) -> str:
    """Where what is kept of a run is; empty for whoever may not read it, and where there is no run."""
    return asked.at(f"/evidence/run/{run}") if run and asked.visitor.may(READ) else ""


def evidence_of_load(asked: Asked, load: str) -> str:
    """Where what is kept of a load is; empty for whoever may not read it."""
    return asked.at(f"/evidence/load/{load}") if asked.visitor.may(READ) else ""
