"""The acts on one run: sink, clean side, inspection, count and pack."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Final

from sinkside.bench import doing as pure
from sinkside.bench import packing
from sinkside.bench.acts import ActOnCopy, FinishStation, Pack
from sinkside.bench.doing import Doer
from sinkside.bench.plan import Plan
from sinkside.department import Station
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.doing import Doing, Handler, Said, in_order
from sinkside.desk.bench.pieces import counted_uses, refuse_wrong_pieces
from sinkside.desk.bench.runs import OpenRun, copy_of_code, keep_run, run_of
from sinkside.desk.ports import Unit
from sinkside.desk.sign_offs import may_work_alone

WORK: Final = "bench-work"
DECIDE: Final = "cycle-decide"

#: At which station whoever does all of it at once must be able to work alone; others name it themselves.
_ALONE_AT: Final = {"look-all": Station.bench, "pack": Station.packing}


def on_run(doing: Doing, act: ActOnCopy) -> Said:
    """Do what an act makes of the run of its copy.

    Raises:
        NotThere: if none here has the code.
        BadInput: if the run does not allow it: why.
    """
    require(doing.who, WORK)
    opened = run_of(doing.unit, copy_of_code(doing.unit, doing.who.department, act.code))
    at = in_order(opened, doing)
    doer = Doer(
        by=doing.who.person,
        at=at,
        alone=_alone(doing, opened, act, at),
        decides=doing.who.may(DECIDE),
    )
    made = (pure.ACTS | packing.ACTS)[act.act](opened.plan, opened.run, act, doer)
    if isinstance(act, Pack):
        refuse_wrong_pieces(doing.unit, opened)
        opened = replace(opened, copy=counted_uses(opened))
    kept = keep_run(doing.unit, opened, made.run, now=doing.now, at=at)
    return Said(made.said, kept.copy.id, kept.copy.state)


def alone_at(
    unit: Unit, who: Visitor, plan: Plan, stations: tuple[Station, ...], at: datetime
) -> frozenset[Station]:
    """At which of some stations somebody may work on everything in a set without anybody beside."""
    return frozenset(
        station
        for station in stations
        if all(
            may_work_alone(unit, who.department, who.person, family, station, at) for family in plan.families
        )
    )


def _alone(doing: Doing, opened: OpenRun, act: ActOnCopy, at: datetime) -> frozenset[Station]:
    asked = act.station if isinstance(act, FinishStation) else _ALONE_AT.get(act.act)
    return alone_at(doing.unit, doing.who, opened.plan, (asked,) if asked else (), at)


HANDLERS: Final[Mapping[str, Handler]] = dict.fromkeys((*pure.ACTS, *packing.ACTS), on_run)
