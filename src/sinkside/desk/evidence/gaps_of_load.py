"""What is not recorded of a load: the same for its own page, for its sets and for their files."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sinkside.bench.gaps_of_loads import Asked, LoadKnown, load_gaps
from sinkside.bench.history import Line
from sinkside.bench.loads import LoadState
from sinkside.department import Station
from sinkside.desk.bench.load_following import ended_at
from sinkside.desk.cycle_records import OpenCycle
from sinkside.desk.indicators_before_release import NeededThing, not_there_at_decision
from sinkside.records import KeptLoad


def gaps_of_load(load: KeptLoad, opened: OpenCycle | None, needed: Sequence[NeededThing]) -> tuple[Line, ...]:
    """What is not recorded of a load.

    Args:
        load: as it is kept.
        opened: its record with the verdict and the decisions; none where there is no record.
        needed: what must be there before release.
    """
    decision = opened.decision if opened else None
    asked = (
        Asked(one.name, one.sentence, one.source or "this load's own indicator", one.state == "waiting")
        for one in not_there_at_decision(needed, decision.without if decision else ())
    )
    judged = opened.judged if opened else None
    verdict = judged.verdict if judged else None
    said = verdict.evidence if verdict else {}
    unseen = [what.replace("_", " ") for what, how in said.items() if how == "not evidenced"]
    return load_gaps(
        known_of(
            load,
            is_judged=verdict is not None,
            unjudged=judged.summary if judged and verdict is None else "",
            unseen=tuple(unseen),
            asked=tuple(asked),
        )
    )


def known_of(
    load: KeptLoad,
    *,
    is_judged: bool,
    unjudged: str = "",
    unseen: tuple[str, ...] = (),
    asked: tuple[Asked, ...] = (),
) -> LoadKnown:
    """What is kept of a load, as its gaps ask for it."""
    told = load.fields.get("decided_at")
    return LoadKnown(
        load=load.id,
        machine=str(load.fields.get("machine_name") or load.machine),
        station=Station(load.station),
        state=LoadState(load.state),
        opened=load.opened,
        started=load.started,
        ended=ended_at(load),
        cycle=load.cycle,
        is_judged=is_judged,
        unjudged=unjudged,
        unseen=unseen,
        read=str(load.fields.get("read") or ""),
        decided=datetime.fromisoformat(str(told)) if told else None,
        asked=asked,
    )
