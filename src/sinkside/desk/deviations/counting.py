"""How many deviations there were, and over how many sets: a count alone misleads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.deviations import Counted
from sinkside.desk.access import Visitor
from sinkside.desk.deviations.kept import KIND, ON_THE_RUN, reports_from_run, reports_since, row_of
from sinkside.desk.ports import Unit
from sinkside.records import ByMachine, Row, WantedRows

#: A set is processed once it is packed; one that was sent back and packed again counts once.
PROCESSED_BY: Final = "pack"

_ASKED: Final = ("fault", "found", "began", "device", "machine", "hour")
_PORTION: Final = 1_000
#: What a tap left on a run may say another moment than the tap, by no more than this.
_CLOCKS: Final = timedelta(hours=1)


@dataclass(frozen=True)
class Sought:
    """Which deviations are sought: from when until before when, and what they must say; any where empty."""

    since: datetime
    before: datetime
    fault: str = ""
    found: str = ""
    began: str = ""
    device: str = ""
    machine: str = ""
    hour: str = ""

    @property
    def fields(self) -> dict[str, str]:
        """What the fields of a row must say."""
        return {name: value for name in _ASKED if (value := str(getattr(self, name)))}


def rows_of(unit: Unit, who: Visitor, sought: Sought) -> list[Row]:
    """Every deviation that is sought: reports, and what runs kept before there were reports."""
    wanted = WantedRows(fields=sought.fields, since=sought.since, until=sought.before, limit=_PORTION)
    found: list[Row] = []
    while portion := unit.rows.found(KIND, [who.department], replace(wanted, offset=len(found))):
        found += portion
    return [*found, *rows_from_runs(unit, who, sought)]


def rows_from_runs(unit: Unit, who: Visitor, sought: Sought) -> list[Row]:
    """What runs kept before there were reports, and nobody took up since; read, and nothing is changed."""
    begun = reports_since(unit, who.department)
    before = min(sought.before, begun) if begun else sought.before
    if before <= sought.since:
        return []
    return [row for row in _kept_on_runs(unit, who, sought, before) if _fits(row, sought)]


def _kept_on_runs(unit: Unit, who: Visitor, sought: Sought, before: datetime) -> Iterator[Row]:
    runs = unit.bench.runs
    for kept in runs.with_deviations(who.department, ON_THE_RUN, sought.since - _CLOCKS, before + _CLOCKS):
        for key, report in reports_from_run(unit, kept):
            if unit.rows.get(KIND, key) is None:
                yield row_of(report, key, who.department, who.zone)


def _fits(row: Row, sought: Sought) -> bool:
    is_then = sought.since <= row.updated < sought.before
    return is_then and all(row.fields[name] == value for name, value in sought.fields.items())


def sets_processed(
    unit: Unit, who: Visitor, since: datetime, before: datetime, machine: str = ""
) -> list[datetime]:
    """When each set was processed in a stretch of time: first packed, or put into a machine's load."""
    if machine:
        by = ByMachine(frozenset({machine}), since, before)
        found = unit.bench.tracing.touched(who.department, [by])
        return [one.at for one in found]
    return unit.bench.tracing.first_times(who.department, PROCESSED_BY, since, before)


def counted_between(unit: Unit, who: Visitor, kind: str, since: datetime, before: datetime) -> Counted:
    """How often a kind of deviation was found in a stretch of time, and how many sets were packed in it."""
    found = rows_of(unit, who, Sought(since, before, fault=kind))
    packed = sets_processed(unit, who, since, before)
    return Counted(found=len(found), sets=len(packed), days=max((before - since).days, 1))
