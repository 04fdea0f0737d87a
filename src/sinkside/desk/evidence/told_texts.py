"""The texts of a run on paper: revision, digest, who approved it, and the route with what is marked on it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from sinkside.aids.codes import DIGEST_SHOWN
from sinkside.aids.evidence import EvidenceBlock, EvidenceLine, EvidenceSaid, EvidenceTable, LineStop
from sinkside.aids.route_line import route_line
from sinkside.department import Station
from sinkside.desk.evidence.facts import RunFacts, TextThen
from sinkside.desk.evidence.wording import Clock
from sinkside.plain.names import calm_maker, calm_name

_MOST_MEMBERS: Final = 4


@dataclass(frozen=True)
class _Mark:
    """What is marked at a stop."""

    level: Literal["", "concern", "stop"] = ""
    words: str = ""


def of_texts(facts: RunFacts, clock: Clock) -> tuple[EvidenceBlock, ...]:
    """Which revision of which text was followed, who made it, who approved it."""
    return (
        EvidenceTable(
            "",
            ("Device", "Maker’s text", "Revision here", "Approved"),
            tuple(_text_row(one, clock) for one in facts.texts),
            widths=(1.15, 1.5, 1.3, 1.25),
        ),
    )


def of_routes(facts: RunFacts) -> tuple[EvidenceBlock, ...]:
    """The route line of every text, with what is not recorded and what was otherwise marked where it was."""
    marks = _marks(facts)
    lines = tuple(_line(one, marks) for one in facts.texts)
    where = facts.department.name if facts.department else facts.site.name
    said = f"As worked out on {Clock(facts.site.zone).day(facts.planned.at)} for what {where} had then."
    return (EvidenceSaid((said,)), *lines)


def members_named(members: Sequence[str]) -> str:
    """Devices of a set by what it calls them; many in short."""
    named = ", ".join(members[:_MOST_MEMBERS])
    more = len(members) - _MOST_MEMBERS
    return f"{named} and {more} more" if more > 0 else named


def _text_row(text: TextThen, clock: Clock) -> tuple[str, ...]:
    device = text.instruction.device
    document = device.document
    edition = f"edition {document.revision}" if document.revision else "edition not recorded"
    maker = calm_maker(device.maker) if device.maker else "maker not recorded"
    now = f". By now revision {text.now} is approved" if text.now not in {0, text.made.number} else ""
    approved = "not recorded"
    if text.approval is not None:
        approved = f"{text.approval.by}, {clock.at(text.approval.at)}{now}"
    made = f"revision {text.made.number}, digest {text.made.digest[:DIGEST_SHOWN]}"
    return (
        f"{calm_name(device.name)} ({members_named(text.members)})",
        f"{maker}, {document.title or 'title not recorded'}, {edition}",
        f"{made}, by {text.made.by}, {clock.at(text.made.at)}",
        approved,
    )


def _line(text: TextThen, marks: Mapping[Station, _Mark]) -> EvidenceLine:
    line = route_line(text.instruction, text.route)
    stops = tuple(
        LineStop(
            label=stop.label,
            figures=stop.figures,
            level=marks.get(stop.station, _Mark()).level,
            mark=marks.get(stop.station, _Mark()).words,
        )
        for stop in line.stops
    )
    said = "; ".join(" ".join(filter(None, (one.label, ", ".join(one.figures), one.mark))) for one in stops)
    return EvidenceLine(calm_name(text.instruction.device.name), stops, said)


def _marks(facts: RunFacts) -> dict[Station, _Mark]:
    """What is marked at each station: a load that failed or is held outweighs what is only to be known."""
    told: defaultdict[Station, list[str]] = defaultdict(list)
    for station, words in _concerns(facts):
        told[station].append(words)
    marks = {station: _Mark("concern", f"▲ {', '.join(words)}") for station, words in told.items()}
    for load in facts.loads:
        judged = load.cycle.judged if load.cycle else None
        if load.inside and judged and judged.outcome == "fails":
            marks[load.inside.station] = _Mark("stop", "■ fails")
        if load.inside and load.inside.end == "held":
            marks[load.inside.station] = _Mark("stop", "■ held")
    return marks


def _concerns(facts: RunFacts) -> Iterator[tuple[Station, str]]:
    gaps: defaultdict[Station, int] = defaultdict(int)
    for gap in facts.gaps:
        if gap.station is not None:
            gaps[gap.station] += 1
    yield from ((station, f"{number} not recorded") for station, number in gaps.items())
    stations = {one.id: one.station for one in facts.plan.tasks}
    deviated: defaultdict[Station, int] = defaultdict(int)
    for one in facts.run.deviations:
        if one.task in stations:
            deviated[stations[one.task]] += 1
    for station, number in deviated.items():
        yield station, "1 deviation" if number == 1 else f"{number} deviations"
