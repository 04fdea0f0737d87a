"""Evidence of a load: its record and decision, what lay in it, and each set of it on a short page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from sinkside.aids.evidence import (
    EvidenceBlock,
    EvidenceRequest,
    EvidenceSaid,
    EvidenceSection,
    EvidenceTable,
    evidence_pdf,
)
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.load_deciding import load_here
from sinkside.desk.evidence.facts import Gap, LoadThen, RunFacts
from sinkside.desk.evidence.gathering import gather
from sinkside.desk.evidence.making import MAKE, MadeFile, Subject, finished, keep_made, records_of
from sinkside.desk.evidence.telling import Telling, by_whom, in_short, section_of_book
from sinkside.desk.evidence.told_beside import of_cases
from sinkside.desk.evidence.told_loads import heading_of, of_load
from sinkside.desk.evidence.told_run import done_by_station
from sinkside.desk.evidence.wording import Clock, with_names
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import NotThere
from sinkside.plain.operations import station_label
from sinkside.records import KeptLoad
from sinkside.route import Station


@dataclass(frozen=True)
class LoadFacts:
    """A load, and the runs of everything that lay in it and was not taken out before it began, by name."""

    load: KeptLoad
    runs: tuple[RunFacts, ...]

    @property
    def then(self) -> LoadThen:
        """The load with its record and decisions, as the first run of it has it."""
        return next(one for one in self.runs[0].loads if one.load.id == self.load.id)

    @property
    def people(self) -> frozenset[str]:
        """The pseudonyms of everybody in it."""
        return frozenset().union(*(one.people for one in self.runs))

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """What is not recorded of the load itself; each set has its own beside."""
        station = Station(self.load.station)
        known = [gap for gap in self.runs[0].gaps if gap.station is station]
        return tuple(gap for gap in known if all(gap in one.gaps for one in self.runs))


def gather_load(unit: Unit, who: Visitor, load: str, *, now: datetime) -> LoadFacts:
    """Everything that is kept of a load and of the runs in it, within a transaction.

    Raises:
        NotThere: if there is no such load here, or nothing lies in it.
    """
    known = load_here(unit, who, load)
    inside = [one for one in unit.bench.loads.in_load(load) if one.out is None]
    if not inside:
        raise NotThere("nothing lies in this load", resource=load)
    runs = [gather(unit, who, one.run, now=now) for one in inside]
    return LoadFacts(known, tuple(sorted(runs, key=lambda one: (one.copy.name, one.copy.code))))


def make_load_evidence(
    archive: Archive, who: Visitor, load: str, *, now: datetime, live_url: str = ""
) -> MadeFile:
    """Make the evidence file of a load with a short page for each set in it, keep it, and write that down.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such load here, or nothing lies in it.
        NotForTheFloor: if a sign cannot be shown.
    """
    require(who, MAKE)
    with archive.unit(writes=False) as unit:
        facts = gather_load(unit, who, load, now=now)
        telling = Telling(who.person, now, records=records_of(unit, [facts.then]), live_url=live_url)
        gaps = len(facts.gaps) + sum(len(_own_gaps(facts, one)) for one in facts.runs)
        subject = Subject("load", load, "", gaps, facts.people | {who.person})
        named, said = finished(unit, who, subject, load_request_of(facts, telling))
    return keep_made(archive, who, subject, named, said, pdf=evidence_pdf(named), now=now)


def load_request_for(unit: Unit, who: Visitor, facts: LoadFacts, *, now: datetime) -> EvidenceRequest:
    """Everything that a file of a load would say, with names."""
    request = load_request_of(facts, Telling(by=who.person, at=now))
    return with_names(request, names_in(unit, facts.people | {who.person}))


def load_request_of(facts: LoadFacts, telling: Telling) -> EvidenceRequest:
    """Everything that an evidence file of a load says, people by their pseudonyms."""
    first = facts.runs[0]
    clock = Clock(first.site.zone)
    load = facts.then
    head = str(first.head) if first.head else "no event"
    where = first.department.name if first.department else first.site.name
    sets = "1 set" if len(facts.runs) == 1 else f"{len(facts.runs)} sets"
    return EvidenceRequest(
        title=heading_of(load),
        about=(
            f"Load {facts.load.id}, {sets} in it",
            f"{where} · moments are local time, {first.site.zone}",
        ),
        gaps=tuple(one.told for one in facts.gaps),
        short=tuple(row for row in in_short(first, clock, of=facts.load.id)),
        sections=tuple(_sections(facts, telling, clock)),
        head=head,
        made=f"Made {clock.at(telling.at)} by {by_whom(telling.by)}",
        code=f"sinkside evidence {facts.load.id} at {head}",
        live_url=telling.live_url,
    )


def _sections(facts: LoadFacts, telling: Telling, clock: Clock) -> Iterator[EvidenceSection]:
    columns = ("Set", "Code", "Run", "Stands now", "Not recorded")
    rows = tuple(
        (one.copy.name, one.copy.code, one.kept.id, _stands(one), str(len(_own_gaps(facts, one))))
        for one in facts.runs
    )
    yield EvidenceSection("What lay in it", (EvidenceTable("", columns, rows),))
    yield EvidenceSection("The load", of_load(facts.then, telling.records, clock))
    for one in facts.runs:
        heading = f"{one.copy.name}, code {one.copy.code}"
        yield EvidenceSection(heading, tuple(_of_run(facts, one, clock)), apart=True)
    yield section_of_book(facts.runs[0])


def _stands(one: RunFacts) -> str:
    if one.copy.run != one.kept.id:
        return "processed again since"
    return f"{one.copy.state.replace('-', ' ')}, {one.copy.place}"


def _own_gaps(facts: LoadFacts, one: RunFacts) -> tuple[Gap, ...]:
    """What is not recorded of a set beside what is not recorded of the load."""
    return tuple(gap for gap in one.gaps if gap not in facts.gaps)


def _of_run(facts: LoadFacts, one: RunFacts, clock: Clock) -> Iterator[EvidenceBlock]:
    """One set on a page: gaps, what it comes to, who worked where."""
    gaps = tuple(gap.told for gap in _own_gaps(facts, one))
    yield EvidenceTable(
        "Not recorded", ("About", "What"), gaps, widths=(0.2, 1), empty="Nothing beside what the load lacks."
    )
    short = tuple((row[0], row[1], row[2]) for row in in_short(one, clock))
    yield EvidenceTable("In short", ("What", "How it was", ""), short, widths=(0.4, 1, 1.4))
    done = tuple(
        (station_label(station), f"{number} of {all_of_it}", ", ".join(sorted(people)) or "–")
        for station, (number, all_of_it, people) in done_by_station(one).items()
    )
    yield EvidenceTable("By hand", ("Where", "Tasks recorded", "By"), done, widths=(0.5, 0.6, 1.4))
    deviations = tuple(
        (each.what, each.reason, f"{each.by}, {clock.at(each.at)}") for each in one.run.deviations
    )
    yield EvidenceTable(
        "Deviations", ("What was otherwise", "Why", "Who, when"), deviations, empty="None is recorded."
    )
    yield from of_cases(one, clock)
    yield EvidenceSaid((f"The whole run {one.kept.id} has an evidence file of its own.",))
