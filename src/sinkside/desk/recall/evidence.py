"""The last good evidence of a machine or water point: from when on a recall of it reaches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.recall import CauseKind
from sinkside.desk.access import Visitor, require
from sinkside.desk.indicator_reading import BIOLOGICAL
from sinkside.desk.indicators import INDICATOR
from sinkside.desk.machine_policy import policy
from sinkside.desk.machine_rows import MACHINE, last_check, row_id
from sinkside.desk.machine_things import Thing, thing_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.rights import READ
from sinkside.records import Row, WantedRows

#: Causes that concern everything that a machine, or water, touched.
BY_MACHINE: Final = frozenset({CauseKind.indicator, CauseKind.cycle, CauseKind.machine, CauseKind.water})

#: So many of the latest indicators without growth are looked at.
_MOST: Final = 200

#: The load with the good evidence is not reached itself.
_AFTER: Final = timedelta(microseconds=1)


@dataclass(frozen=True)
class GoodEvidence:
    """From when on something is not shown to be good any more, and by what it was until then."""

    since: datetime
    words: str


def last_good(archive: Archive, who: Visitor, cause: Cause) -> GoodEvidence | None:
    """The last good evidence before whatever a recall of a machine or water point begins with.

    None where there never was any, and for causes that are no machine's.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such machine or water point here.
    """
    require(who, READ)
    if cause.kind not in BY_MACHINE:
        return None
    with archive.unit(writes=False) as unit:
        return last_good_in(unit, who, cause)


def load_of(archive: Archive, who: Visitor, cycle: str) -> str:
    """The id of the load that a cycle is the record of; empty where nobody said so.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        load = unit.bench.loads.of_cycle(who.department, cycle)
    return load.id if load else ""


def last_good_in(unit: Unit, who: Visitor, cause: Cause) -> GoodEvidence | None:
    """The same within a transaction.

    Of a sterilizer that is the last load with a biological indicator that did not grow: by when the load
    began, and not by when it was read, so that no load between the two is passed over. Of everything else it
    is the oldest of the last good results of the checks that failed, or else of all its checks.
    """
    thing = thing_in(unit, who, cause.of)
    began = _began(unit, who, cause.load)
    negatives = [one for one in _negatives(unit, who, thing) if began is None or one < began]
    if negatives:
        return GoodEvidence(
            max(negatives) + _AFTER, "the last load with a biological indicator that did not grow"
        )
    row = unit.rows.get(MACHINE, row_id(who.department, thing.id))
    return _of_checks(row) if row else None


def _began(unit: Unit, who: Visitor, load: str) -> datetime | None:
    known = unit.bench.loads.get(load) if load else None
    return known.started if known and known.department == who.department else None


def _negatives(unit: Unit, who: Visitor, thing: Thing) -> Iterator[datetime]:
    """When the loads began whose biological indicators did not grow."""
    wanted = WantedRows(states=("negative",), fields={"machine": thing.id, "kind": BIOLOGICAL}, limit=_MOST)
    for row in unit.rows.found(INDICATOR, [who.department], wanted):
        load = unit.bench.loads.of_cycle(who.department, str(row.fields["cycle"]))
        if load is not None and load.started is not None:
            yield load.started


def _of_checks(row: Row) -> GoodEvidence | None:
    checks = [name.removesuffix(" at") for name in row.fields if name.endswith(" at")]
    known = {check: last_check(row, check) for check in checks}
    failed = {check: one for check, one in known.items() if not one.passed}
    asked = failed or known
    dated = [(one.good, check) for check, one in asked.items() if one.good is not None]
    if not dated or len(dated) < len(asked):
        return None
    oldest, check = min(dated)
    name = policy().checks[check].name.lower() if check in policy().checks else check
    return GoodEvidence(oldest, f"the last good result of a check: {name}")
