"""Where the pages of deviations live, and what all of them say: kinds, stages, what is sought."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from pydantic import BaseModel, Field

from sinkside.bench.deviations import STANDING_WORDS, Standing
from sinkside.bench.faults import policy
from sinkside.desk.deviations.charts_told import hour_words, stage_words
from sinkside.desk.deviations.counting import Sought
from sinkside.errors import BadInput
from sinkside.instruction import Stage
from sinkside.records import Row
from sinkside.web.asked import Asked
from sinkside.web.days import midnight
from sinkside.web.screen import DEPARTMENT, Option, Screen

screen = Screen("deviations")

PLACE: Final = f"{DEPARTMENT}/deviations"
ONE: Final = f"{PLACE}/{{deviation}}"

#: So far back the list and the charts look, unless told.
_LIST_DAYS: Final = 90
CHART_DAYS: Final = 26 * 7

_HOURS: Final = 24
ANY: Final = Option("", "any")


class Asking(BaseModel):
    """What the address of the list and of the charts may ask for; anything where a field is empty."""

    model_config = {"frozen": True}

    since: str = Field("", max_length=40)
    until: str = Field("", max_length=40)
    fault: str = Field("", max_length=40)
    found: str = Field("", max_length=40)
    began: str = Field("", max_length=40)
    device: str = Field("", max_length=200)
    machine: str = Field("", max_length=120)
    hour: str = Field("", max_length=2)

    def query(self, **more: str) -> str:
        """The same as the query of an address; empty where nothing is asked for."""
        said = {name: value for name, value in {**self.model_dump(), **more}.items() if value}
        return f"?{urlencode(said)}" if said else ""


#: What an address asks for that says nothing.
ANYTHING: Final = Asking()


@dataclass(frozen=True)
class DeviationLine:
    """One deviation of a list: its kind, what, where, how it stands and what is next, its age, when due.

    `words` is empty where nobody said more than the kind; `of` is the set with its machine;
    `place` the stage where it was found, and where it began.
    """

    address: str
    kind: str
    words: str
    of: str
    place: str
    standing: str
    next: str
    age: str
    at: str
    due: str
    overdue: bool


@dataclass(frozen=True)
class SoughtShown:
    """What is sought, as the fields of the form hold it, and what each offers."""

    since: str
    until: str
    fault: str
    found: str
    began: str
    device: str
    machine: str
    hour: str
    faults: tuple[Option, ...]
    stages: tuple[Option, ...]
    machines: tuple[Option, ...]
    hours: tuple[Option, ...]


def kinds() -> tuple[Option, ...]:
    """Every kind of deviation."""
    return tuple(Option(key, one.words) for key, one in policy().faults.items())


def stages() -> tuple[Option, ...]:
    """Every stage, in the order of the work."""
    return tuple(Option(one.value, stage_words(one.value)) for one in Stage)


def sought_of(asked: Asked, asking: Asking, *, days: int = _LIST_DAYS) -> Sought:
    """What an address asks for; from so many days ago until now, unless it says otherwise.

    Raises:
        BadInput: if a day is none, or the end lies before the begin.
    """
    zone = asked.visitor.zone
    local = asked.now.astimezone(ZoneInfo(zone))
    since = _day(asking.since, zone, "since") or _midnight_before(local, days)
    before = _day(asking.until, zone, "until", days=1) or asked.now + timedelta(minutes=1)
    if before <= since:
        raise BadInput("it ends before it begins; expected a later day", resource="until")
    return Sought(
        since=since,
        before=before,
        fault=asking.fault,
        found=asking.found,
        began=asking.began,
        device=asking.device,
        machine=asking.machine,
        hour=asking.hour,
    )


def shown_sought(asking: Asking, machines: tuple[tuple[str, str], ...]) -> SoughtShown:
    """What is sought, for the form."""
    return SoughtShown(
        since=asking.since,
        until=asking.until,
        fault=asking.fault,
        found=asking.found,
        began=asking.began,
        device=asking.device,
        machine=asking.machine,
        hour=asking.hour,
        faults=(ANY, *kinds()),
        stages=(ANY, *stages()),
        machines=(ANY, *(Option(key, name) for key, name in machines)),
        hours=(ANY, *(Option(f"{hour:02}", hour_words(f"{hour:02}")) for hour in range(_HOURS))),
    )


def line_of(asked: Asked, row: Row) -> DeviationLine:
    """One row of the list."""
    local = row.updated.astimezone(ZoneInfo(asked.visitor.zone))
    due = row.due.astimezone(ZoneInfo(asked.visitor.zone)).date().isoformat() if row.due else ""
    began = str(row.fields["began"] or "")
    found = stage_words(str(row.fields["found"]))
    of = [str(row.fields[name] or "") for name in ("set", "code", "machine_name")]
    kind = policy().faults[str(row.fields["fault"])].words
    return DeviationLine(
        address=asked.at(f"/deviations/{row.id}"),
        kind=kind,
        words="" if row.title == kind else row.title,
        of=", ".join(one for one in of if one),
        place=f"found at {found}" + (f", began at {stage_words(began)}" if began else ""),
        standing=STANDING_WORDS[Standing(row.state)],
        next=str(row.fields["next"] or ""),
        age=age_words(asked.now - row.updated),
        at=local.strftime("%Y-%m-%d %H:%M"),
        due=due,
        overdue=row.due is not None and row.due <= asked.now,
    )


def age_words(age: timedelta) -> str:
    """How old something is, in its largest unit.

    >>> age_words(timedelta(hours=5)), age_words(timedelta(days=1, hours=3))
    ('5 h old', '1 day old')
    """
    if age.days:
        return f"{age.days} day{'' if age.days == 1 else 's'} old"
    return f"{int(age.total_seconds() // 3600)} h old"


def _day(text: str, zone: str, field: str, *, days: int = 0) -> datetime | None:
    if not text.strip():
        return None
    found = midnight(text.strip(), zone, days=days)
    if found is None:
        raise BadInput("expected a day, such as 2026-12-02", resource=field)
    return found


def _midnight_before(local: datetime, days: int) -> datetime:
    """The midnight that begins the week so many days ago, on the department's clocks."""
    day = local.date() - timedelta(days=days)
    begins = day - timedelta(days=day.weekday())
    return datetime.combine(begins, datetime.min.time(), local.tzinfo).astimezone(UTC)
