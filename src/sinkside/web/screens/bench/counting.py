"""Count and pack: line by line against the list with the letters of the tray, the mass, the label."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.bench.plan import Line, Plan
from sinkside.bench.run import Place, Run
from sinkside.department import Station
from sinkside.desk.bench.guiding import Guided
from sinkside.sets.layout import Layout, tray_lines, tray_map_svg
from sinkside.web.asked import Asked
from sinkside.web.screens.bench.buttons import Acts
from sinkside.web.screens.bench.shown import ActShown

#: Where a set is counted, by where it is.
_COUNTED_AT: Final = {
    Place.soiled: Station.sink,
    Place.at_sink: Station.sink,
    Place.clean_side: Station.packing,
    Place.packing: Station.packing,
}


@dataclass(frozen=True)
class CountLine:
    """One line of the count.

    Attributes:
        id: of the line.
        letter: on the drawing of the tray; empty where nobody laid it out.
        name: what it is.
        about: where it lies, and how often it was processed where its text limits that.
        wanted: how many the list has.
        critical: whether none of it may be missing.
        counted: how many were counted here; empty before.
        told: what is missing, or what stands in.
        is_short: whether something is missing with nothing standing in.
        counts: says how many there are, and what stands in.
        alarms: tells theatre that something is missing; none where nothing is.
    """

    id: str
    letter: str
    name: str
    about: str
    wanted: int
    critical: bool
    counted: str
    told: str
    is_short: bool
    counts: ActShown
    alarms: ActShown | None


@dataclass(frozen=True)
class CountShown:
    """The count: how far it is, whether something is missing, the tray, all at once, and line by line."""

    sum: str
    is_short: bool
    map: str
    all_here: ActShown | None
    lines: tuple[CountLine, ...]


@dataclass(frozen=True)
class PackShown:
    """The pack: in what, what it should weigh, where its labels are, and the act that closes it."""

    about: str
    weighs: str
    labels: str
    pack: ActShown


def count_shown(guided: Guided, acts: Acts) -> CountShown | None:
    """The count at the sink or at packing; on the clean side once all of it is inspected."""
    run, plan = guided.run, guided.plan
    at = _COUNTED_AT.get(run.place) if run else None
    if run is None or plan is None or at is None or not _is_due(plan, run):
        return None
    lines = tuple(_line(guided, run, acts, line, at) for line in plan.lines)
    wanted = sum(one.wanted for one in lines)
    counted = sum(int(one.counted or 0) for one in lines)
    is_open = any(not one.counted for one in lines)
    everything = acts.make(
        "count-all",
        f"All {wanted} are here",
        {"act": "count-all", "station": at},
        command="ALL",
        style="main",
    )
    return CountShown(
        sum=f"{counted} of {wanted}" if counted else f"{wanted} pieces",
        is_short=any(one.told for one in lines),
        map=tray_map_svg(guided.layout, key="tray") if guided.layout else "",
        all_here=everything if is_open else None,
        lines=lines,
    )


def pack_shown(asked: Asked, guided: Guided, acts: Acts) -> PackShown | None:
    """The closing of the pack, at packing; also on the clean side once all of it is inspected."""
    run, plan = guided.run, guided.plan
    if (
        run is None
        or plan is None
        or _COUNTED_AT.get(run.place) is not Station.packing
        or not _is_due(plan, run)
    ):
        return None
    sent = [{"act": "pack"}]
    is_uncounted = any(not _counted(run, line, Station.packing) for line in plan.lines)
    if is_uncounted:
        sent.insert(0, {"act": "count-all", "station": Station.packing})
    words = "All are here; the pack is closed" if is_uncounted else "The pack is closed"
    weighs = (
        f"The list says {plan.mass_kg:.2f} kg." if plan.mass_kg else "The list does not say what it weighs."
    )
    return PackShown(
        about=f"Packed in: {plan.packaging}." if plan.packaging else "",
        weighs=weighs,
        labels=asked.at(f"/papers/sets/{plan.set}"),
        pack=acts.make("pack", words, *sent, command="PACK", style="main", effect="station"),
    )


def _is_due(plan: Plan, run: Run) -> bool:
    """Whether it is time to count: on the clean side what is not inspected comes first."""
    if run.place is not Place.clean_side:
        return True
    return all(line.id in run.looked and run.looked[line.id].passed for line in plan.lines)


def _counted(run: Run, line: Line, at: Station) -> str:
    known = run.counted.get(line.id)
    return str(known.found) if known and known.at_station is at else ""


def _line(guided: Guided, run: Run, acts: Acts, line: Line, at: Station) -> CountLine:
    known = run.counted.get(line.id)
    here = known if known and known.at_station is at else None
    missing = line.expected - here.found if here else 0
    stands_in = here.substitute if here else ""
    told = f"{missing} missing" if missing > 0 else ""
    letter, lies = _in_the_tray(guided.layout, line)
    return CountLine(
        id=line.id,
        letter=letter,
        name=line.words,
        about="; ".join(filter(None, (lies, _uses(run, line)))),
        wanted=line.expected,
        critical=line.critical,
        counted=str(here.found) if here else "",
        told=f"{told}; stands in: {stands_in}" if stands_in else told,
        is_short=missing > 0 and not stands_in,
        counts=acts.make(
            f"count-{line.id}",
            "Counted",
            {"act": "count", "station": at, "found": {}},
            told=f"counted: {line.words}",
            style="second",
        ),
        alarms=_alarm(acts, line, missing) if missing > 0 else None,
    )


def _uses(run: Run, line: Line) -> str:
    """How often a line was processed, where its text says how often it may be."""
    if not line.most_uses:
        return ""
    return f"processed {run.uses.get(line.id, 0)} of at most {line.most_uses} times"


def _alarm(acts: Acts, line: Line, missing: int) -> ActShown | None:
    return acts.make(
        f"alarm-{line.id}",
        "Tell theatre now",
        {"act": "missing-fragment", "line": line.id, "count": missing},
        told=f"theatre told: {line.words} is missing",
        command="ALARM",
        style="grave",
    )


def _in_the_tray(layout: Layout | None, line: Line) -> tuple[str, str]:
    """The letter of a line on the drawing of its tray, and how it lies there."""
    found = (one for one in tray_lines(layout) if line.member in one.name) if layout else ()
    first = next(iter(found), None)
    return (first.letter, first.lies) if first else ("", "")
