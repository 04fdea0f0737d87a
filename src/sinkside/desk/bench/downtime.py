"""Hours on paper: an outage begun and ended, its lines copied, then entered as taps in their true order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from sinkside.bench.outage import LOADS, PaperLine, PaperLoad, PaperTime
from sinkside.bench.sheets import SLACK, Outage
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.kept_lists import KeptList, Line
from sinkside.desk.bench.paper_loads import enter_load
from sinkside.desk.bench.paper_taps import Entering
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict
from sinkside.findings import Level
from sinkside.records import Row

OUTAGE: Final = "outage"
READ: Final = "bench-read"
WORK: Final = "bench-work"

_OPEN: Final = "open"
_ENTERED: Final = "entered"
_LIST: Final = KeptList(OUTAGE, PaperTime, "time without screens")
_LATEST: Final = 20

#: No tap is older than this (see `tapping`), so no outage is entered later.
_OLDEST: Final = timedelta(days=13)


@dataclass(frozen=True)
class OutagesFound:
    """Times without screens of which something is still to be entered, and those that are done with."""

    open: tuple[tuple[str, PaperTime], ...]
    entered: tuple[tuple[str, PaperTime], ...]


@dataclass(frozen=True)
class Entered:
    """What came of entering lines: how many were done now, and how many refused."""

    done: int
    refused: int


def find_outages(archive: Archive, who: Visitor) -> OutagesFound:
    """The times without screens of this department.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return OutagesFound(_LIST.all(unit, who, [_OPEN]), _LIST.all(unit, who, [_ENTERED], most=_LATEST))


def open_outage(archive: Archive, who: Visitor, outage: str) -> PaperTime:
    """One time without screens as it stands.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return _LIST.opened(unit, who, outage)


def begin_outage(
    archive: Archive,
    who: Visitor,
    *,
    began: datetime,
    ended: datetime | None = None,
    why: str,
    now: datetime,
) -> str:
    """Keep that the screens did not answer, from when until when, and say the outage's id.

    Raises:
        NotAllowed: without the right.
        BadInput: if it began later than now or too long ago, ended before it began, or no reason was said.
    """
    require(who, WORK)
    words = " ".join(why.split())
    if not words:
        raise BadInput("expected what happened, such as: the network was down", resource="why")
    if not now - _OLDEST <= began <= now:
        raise BadInput(f"expected a moment within the last {_OLDEST.days} days", resource="began")
    if ended is not None and not began < ended <= now + SLACK:
        raise BadInput("expected a moment after it began and before now", resource="ended")
    kept = PaperTime(began=began, ended=ended, why=words, by=who.person)
    key = new_id("o")
    with archive.unit() as unit:
        _keep(unit, who, key, kept, event="outage-begun", now=now)
    return key


def end_outage(archive: Archive, who: Visitor, outage: str, ended: datetime, *, now: datetime) -> None:
    """Keep when the screens answered again.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such outage here.
        BadInput: if it ends before it began or before a line that was copied, or later than now.
    """
    require(who, WORK)
    with archive.unit() as unit:
        before = _LIST.opened(unit, who, outage)
        last = max((one.at for one in before.lines), default=before.began)
        if not max(before.began, last - SLACK) < ended <= now + SLACK:
            raise BadInput("expected a moment after the last line and before now", resource="ended")
        after = before.model_copy(update={"ended": ended})
        _keep(unit, who, outage, after, event="outage-ended", now=now)


def copy_lines(
    archive: Archive,
    who: Visitor,
    outage: str,
    lines: Sequence[PaperLine],
    *,
    load: PaperLoad | None = None,
    now: datetime,
) -> PaperTime:
    """Copy lines of the paper pack; one that was copied before and is not entered yet is put right.

    Args:
        archive: where it is kept.
        who: who copies.
        outage: which one.
        lines: as they stand on paper.
        load: the head of their sheet, where that is one load.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such outage here.
        BadInput: if there are none, a time is not within the outage, or lines contradict each other.
    """
    require(who, WORK)
    if not lines:
        raise BadInput("nothing was copied; expected at least one line", resource="lines")
    with archive.unit() as unit:
        before = _LIST.opened(unit, who, outage)
        within = Outage(before.began, before.ended)
        zone = ZoneInfo(who.zone)
        for at in (*(one.at for one in lines), *([load.at, load.ended] if load else [])):
            within.refuse_outside(at.astimezone(zone), now=now.astimezone(zone))
        _refuse_headless(before, lines, load)
        after = before.with_lines([one.model_copy(update={"by": who.person}) for one in lines])
        if load is not None:
            after = after.with_load(load.model_copy(update={"by": who.person}))
        _keep(unit, who, outage, after, event="outage-copied", now=now, data={"lines": len(lines)})
    return after


def enter(archive: Archive, who: Visitor, outage: str, *, now: datetime) -> Entered:
    """Enter what was copied and is not in the record yet, in the order in which things happened.

    Each line is one or more taps whose keys come of its number, so that none is entered twice, whoever
    presses the button again. What is refused stays copied with the reason, to be put right and entered anew.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such outage here.
        Conflict: if everything is entered already.
    """
    require(who, WORK)
    with archive.unit(writes=False) as unit:
        before = _LIST.opened(unit, who, outage)
    if not before.to_enter():
        raise Conflict("everything that was copied is entered already", resource=outage)
    lines, loads = _entered(Entering(archive, who, outage, now), before)
    done = sum(one.outcome == "done" for one in lines.values())
    with archive.unit() as unit:
        latest = _LIST.opened(unit, who, outage)
        after = latest.model_copy(
            update={
                "lines": tuple(_merged(one, lines.get(one.line)) for one in latest.lines),
                "loads": tuple(loads.get(one.sheet, one) for one in latest.loads),
            }
        )
        data = {"done": done, "refused": len(lines) - done}
        _keep(unit, who, outage, after, event="outage-entered", now=now, data=data)
    return Entered(done, len(lines) - done)


def strike_line(archive: Archive, who: Visitor, outage: str, line: str, *, now: datetime) -> None:
    """Strike a line that was copied by mistake and is not entered.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such outage here.
        BadInput: if it is entered already, or there is none.
    """
    require(who, WORK)
    with archive.unit() as unit:
        after = _LIST.opened(unit, who, outage).without_line(line)
        _keep(unit, who, outage, after, event="outage-line-struck", now=now, data={"line": line[:20]})


def outages_to_enter(unit: Unit, who: Visitor) -> list[tuple[Level, str, Row]]:
    """What Today says to whoever works at the bench: that paper waits to be entered."""
    if not who.may(WORK):
        return []
    return [
        (Level.concern, f"{row.title}: enter what stands on paper.", row)
        for row in unit.rows.all(OUTAGE, [who.department], states=[_OPEN])
    ]


def _entered(entering: Entering, paper: PaperTime) -> tuple[dict[str, PaperLine], dict[str, PaperLoad]]:
    """Lines and loads after everything that waits was entered, in the order in which it happened."""
    lines: dict[str, PaperLine] = {}
    loads: dict[str, PaperLoad] = {}
    waiting = paper.to_enter()
    sheets = dict.fromkeys(one.sheet for one in waiting if one.kind in LOADS)
    heads = (paper.load_of(sheet) for sheet in sheets)
    entries: list[PaperLine | PaperLoad] = [one for one in waiting if one.kind not in LOADS]
    entries += [head for head in heads if head is not None]
    for one in sorted(entries, key=lambda entry: (entry.at, entry.place.turn)):
        if isinstance(one, PaperLine):
            lines[one.line] = entering.line(one)
        else:
            inside, loads[one.sheet] = enter_load(entering, one, paper.of_sheet(one.sheet))
            lines.update({line.line: line for line in inside})
    return lines, loads


def _refuse_headless(before: PaperTime, lines: Sequence[PaperLine], load: PaperLoad | None) -> None:
    """A line of a load needs the head of its sheet: machine, program, times."""
    for one in lines:
        if one.kind not in LOADS:
            continue
        if (load is None or load.sheet != one.sheet) and before.load_of(one.sheet) is None:
            raise BadInput(
                f"line {one.line} stands in a load; expected its machine, program, start and end",
                resource="machine",
            )


def _merged(latest: PaperLine, told: PaperLine | None) -> PaperLine:
    """What came of a line, unless somebody put it right meanwhile."""
    if told is None or latest.outcome == "done":
        return latest
    return latest.model_copy(update={name: getattr(told, name) for name in ("outcome", "said", "tries")})


def _keep(
    unit: Unit,
    who: Visitor,
    key: str,
    kept: PaperTime,
    *,
    event: str,
    now: datetime,
    data: Mapping[str, Any] | None = None,
) -> None:
    left = len(kept.to_enter())
    is_done = kept.ended is not None and bool(kept.lines) and not left
    line = Line(
        _ENTERED if is_done else _OPEN,
        f"Without screens from {kept.began.astimezone(ZoneInfo(who.zone)):%Y-%m-%d %H:%M}",
        fields={"left": left, "lines": len(kept.lines)},
    )
    _LIST.keep(unit, who, key, kept, line, event=event, now=now, data=data)
