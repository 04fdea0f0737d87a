"""The common route of a set, or its split, in one sentence each; and the devices that are stopped here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from sinkside.department import Department
from sinkside.desk.set_answers import SetAnswer, parts_of
from sinkside.desk.sets import SeenSet
from sinkside.findings import Finding
from sinkside.route import Load, Station
from sinkside.web.asked import Asked

_TOGETHER: Final = {
    Station.ultrasonic: "through the ultrasonic bath",
    Station.washer: "through the washer-disinfector",
    Station.bench: "through the drying cabinet",
}
_NO_CYCLE: Final = "no cycle here"
_SPLIT: Final = "Split the set"

#: Told as the split itself, and not once more among the findings.
NO_COMMON_CYCLE: Final = "route-no-common-cycle"


@dataclass(frozen=True)
class GroupShown:
    """Devices that go together: through what, and which."""

    through: str
    devices: tuple[str, ...]


@dataclass(frozen=True)
class StoppedShown:
    """A device that cannot be done here as its text asks: what stops it, and where that is shown."""

    device: str
    sentence: str
    address: str


@dataclass(frozen=True)
class RouteShown:
    """How the set goes here.

    Attributes:
        state: no-route, with-concerns, open or fits.
        words: the same in words.
        sentence: one sentence: the common cycle, or that there is none.
        parts: what the set must be split into; none where one cycle serves all.
        instead: what would give it one cycle without a split; empty where nothing is known.
        earlier: what goes together before packing.
        stopped: the devices that cannot be done here.
    """

    state: str
    words: str
    sentence: str
    parts: tuple[GroupShown, ...]
    instead: str
    earlier: tuple[GroupShown, ...]
    stopped: tuple[StoppedShown, ...]


def route_shown(asked: Asked, seen: SeenSet) -> RouteShown:
    """The common route of a set as its page shows it."""
    answer = seen.answer
    state, words = _state(answer)
    return RouteShown(
        state=state,
        words=words,
        sentence=_sentence(seen),
        parts=_parts(seen) if answer.must_be_split else (),
        instead=next((one.remedy for one in _of_no_cycle(seen) if not one.remedy.startswith(_SPLIT)), ""),
        earlier=tuple(
            GroupShown(f"{_TOGETHER[load.station]}: {_through(load, answer.site)}", load.members)
            for load in (answer.route.earlier_loads if answer.route else ())
        ),
        stopped=_stopped(asked, seen),
    )


def _of_no_cycle(seen: SeenSet) -> Iterator[Finding]:
    return (one for one in seen.findings if one.rule == NO_COMMON_CYCLE)


def _state(answer: SetAnswer) -> tuple[str, str]:
    if answer.route is None:
        return "open", "No route yet"
    if answer.must_be_split:
        return "no-route", "No common cycle"
    if answer.route.conflicts:
        return "no-route", "Not as it is"
    if answer.route.findings:
        return "with-concerns", "One cycle, with concerns"
    return "fits", "One cycle for all" if answer.loads else "Nothing to sterilize"


def _sentence(seen: SeenSet) -> str:
    answer, total = seen.answer, len(seen.opened.document.members)
    if answer.site is None:
        return "Nobody has said yet what this department has, so there is no route."
    if answer.route is None:
        return "No text of its devices is known here, so there is no route."
    left = total - len(answer.routed)
    without = f" {_counted(left)} without a text {'is' if left == 1 else 'are'} left out." if left else ""
    if answer.must_be_split:
        number = len(answer.loads)
        return f"No cycle here is named by every device: it must be split into {number} sets.{without}"
    if not answer.loads:
        return f"By their texts none of its devices is sterilized.{without}"
    through = _through(answer.loads[0], answer.site)
    devices = len(answer.loads[0].members)
    if through == _NO_CYCLE:
        return f"No cycle here is one that its {_counted(devices)} names.{without}"
    return f"One cycle for {'all ' if devices > 1 else ''}{_counted(devices)}: {through}.{without}"


def _counted(number: int) -> str:
    return "1 kind of device" if number == 1 else f"{number} kinds of device"


def _parts(seen: SeenSet) -> tuple[GroupShown, ...]:
    groups = parts_of(seen.opened.document, seen.answer)
    loads = zip(seen.answer.loads, groups, strict=True)
    return tuple(GroupShown(_through(load, seen.answer.site), group) for load, group in loads)


def _through(load: Load, site: Department | None) -> str:
    machine = next((one.name for one in (site.machines if site else ()) if one.id == load.machine), "")
    return f"{machine}, {load.program}" if machine else load.program or _NO_CYCLE


def _stopped(asked: Asked, seen: SeenSet) -> tuple[StoppedShown, ...]:
    found = []
    for called, stops in seen.answer.stops_of_members.items():
        row = seen.texts[called].row
        more = f", and {len(stops) - 1} more" if len(stops) > 1 else ""
        address = asked.at(f"/fit/{row.id}") if row else ""
        found.append(StoppedShown(called, f"{stops[0].message.rstrip('.')}{more}.", address))
    return tuple(found)
