"""How programmes and their results are kept, and what a programme asks for next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.bench.programmes.due import Due
from sinkside.bench.programmes.programme import Programme, TestResult
from sinkside.bench.programmes.reaction import Outcome, Standing, asked_next
from sinkside.desk.access import Visitor
from sinkside.desk.bench.kept_lists import KeptList, Line
from sinkside.desk.ports import Unit
from sinkside.desk.programmes.policy import policy
from sinkside.records import Row, WantedRows

PROGRAMME: Final = "verification"
RESULT: Final = "verification-result"
RUNNING, ENDED = "running", "ended"

PROGRAMMES: Final = KeptList(PROGRAMME, Programme, "programme")
RESULTS: Final = KeptList(RESULT, TestResult, "result")

#: A programme of two tests a day for a year has fewer.
_MOST_RESULTS: Final = 2_000


@dataclass(frozen=True)
class Asked:
    """What a programme asks for: how each device stands, what is due when; its results, the latest first."""

    standings: Mapping[str, Standing]
    dues: tuple[Due, ...]
    rows: tuple[Row, ...]

    @property
    def stopped(self) -> tuple[str, ...]:
        """The devices on which work is stopped, by key."""
        return tuple(key for key, one in self.standings.items() if one.is_stopped)


def today_of(who: Visitor, now: datetime) -> date:
    """Which day it is where the department is."""
    return now.astimezone(ZoneInfo(who.zone)).date()


def results_of(unit: Unit, who: Visitor, programme: str) -> tuple[Row, ...]:
    """A programme's results, the latest first."""
    wanted = WantedRows(states=[programme], limit=_MOST_RESULTS)
    return tuple(unit.rows.found(RESULT, [who.department], wanted))


def asked_of(unit: Unit, who: Visitor, key: str, programme: Programme) -> Asked:
    """What a programme asks for next."""
    rows = results_of(unit, who, key)
    standings, dues = asked_next(programme, outcomes_of(rows), policy().steps)
    return Asked(standings, () if programme.ended else dues, rows)


def outcomes_of(rows: Sequence[Row]) -> list[Outcome]:
    """Results as far as they decide what is next."""
    return [
        Outcome(
            str(row.fields["device"]),
            row.updated,
            date.fromisoformat(str(row.fields["day"])),
            bool(row.fields["passed"]),
        )
        for row in rows
    ]


def line_of(who: Visitor, programme: Programme, asked: Asked) -> Line:
    """How a programme stands in its list: due at the end of its first device's day."""
    first = asked.dues[0].day if asked.dues else None
    due = datetime.combine(first + timedelta(days=1), time(), ZoneInfo(who.zone)) if first else None
    state = ENDED if programme.ended else RUNNING
    return Line(state, programme.name, due, {"method": programme.method, "stopped": len(asked.stopped)})


def keep_programme(
    unit: Unit,
    who: Visitor,
    key: str,
    programme: Programme,
    *,
    event: str,
    now: datetime,
    data: Mapping[str, str | int] | None = None,
) -> None:
    """Keep a programme as it stands now, with its line and its event."""
    line = line_of(who, programme, asked_of(unit, who, key, programme))
    told = {"name": programme.name, **(data or {})}
    PROGRAMMES.keep(unit, who, key, programme, line, event=event, now=now, data=told)
