"""What ought to be known of a run and is not recorded: the gaps of its histories, and what lies beside it.

Nothing is taken as done. Each gap is worded once, for the page of the set and for its evidence file.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Final

from sinkside.bench.gaps_of_others import Worked, person_gaps
from sinkside.bench.gaps_of_runs import run_gaps
from sinkside.bench.history import Evidence, Line, LineKind, gap
from sinkside.department import Station
from sinkside.desk.evidence.beside import chemicals_at_the_sink
from sinkside.desk.evidence.facts import Gap, RunFacts
from sinkside.desk.evidence.gaps_of_load import gaps_of_load

#: What a gap is about, as an evidence file heads it.
_ABOUT: Final = {
    LineKind.case: "Use",
    LineKind.work: "Work",
    LineKind.check: "Check",
    LineKind.load: "Load",
    LineKind.record: "Record",
    LineKind.decision: "Decision",
    LineKind.person: "Sign-offs",
    LineKind.supply: "Solutions",
    LineKind.text: "Instruction",
    LineKind.store: "Papers",
}
_TEXTS: Final = "only an approved text, with the maker's edition, leads work"
_ROUTE: Final = "work follows the route of the approved text"
_BEFORE: Final = "what was used belongs to a case, so that a case can be told of it"
_SOLUTIONS: Final = "a solution at the sink is logged with product and lot"
_PAPERS: Final = "a paper in force hangs where the work is done"


def gaps_of(facts: RunFacts, families: Mapping[str, str]) -> tuple[Gap, ...]:
    """Everything that is not recorded of a run, in the order of the work.

    Args:
        facts: what is kept of it.
        families: what device families are called.
    """
    lines = [*beside_gaps(facts), *run_gaps(facts.plan, facts.run, opened=facts.kept.opened)]
    lines += _of_signing(facts, families)
    for load in facts.loads:
        if load.inside:
            lines += gaps_of_load(load.load, load.cycle, load.needed)
    order = [None, *Station]
    told = (Gap(_ABOUT[one.kind], one.words, one.station, one.by) for one in lines)
    return tuple(sorted(told, key=lambda one: order.index(one.station)))


def beside_gaps(facts: RunFacts) -> Iterator[Line]:
    """What is not recorded beside a run: its texts, the case before it, solutions, papers that hung."""
    where, since = (Evidence("run", facts.kept.id),), facts.kept.opened
    for expected, policy in _of_texts(facts):
        yield gap(expected, since=since, policy=policy, kind=LineKind.text, evidence=where)
    if facts.before is None:
        expected = "in which case it was used before"
        station = Station.theatre
        yield gap(expected, since=since, policy=_BEFORE, kind=LineKind.case, evidence=where, station=station)
    yield from _of_solutions(facts, since, where)
    if not facts.papers:
        expected = "a poster or card that hung while it was processed"
        yield gap(expected, since=since, policy=_PAPERS, kind=LineKind.store, evidence=where)


def _of_texts(facts: RunFacts) -> Iterator[tuple[str, str]]:
    """What is missing of each text, and who asks for it."""
    for text in facts.texts:
        name = text.instruction.device.name
        if text.approval is None:
            yield f"who approved revision {text.made.number} of {name}", _TEXTS
        if text.route is None:
            yield f"the route of {name} as it was then", _ROUTE
        if not text.instruction.device.document.revision:
            yield f"the edition of the maker’s text of {name}", _TEXTS


def _of_signing(facts: RunFacts, families: Mapping[str, str]) -> Iterator[Line]:
    """Who did something without a sign-off that held: who worked beside them then, nobody wrote down."""
    of_people: dict[str, list[Worked]] = {}
    for one in facts.stood:
        if not one.worked_alone:
            name = families.get(one.family, one.family)
            work = Worked(one.at, one.station.value, (name,), facts.plan.name, facts.kept.id)
            of_people.setdefault(one.person, []).append(work)
    for person, works in of_people.items():
        yield from (replace(line, by=person) for line in person_gaps(works))


def _of_solutions(facts: RunFacts, since: datetime, where: tuple[Evidence, ...]) -> Iterator[Line]:
    needed = {
        chemical: name
        for text in facts.texts
        if text.route
        for chemical, name in chemicals_at_the_sink(text.route).items()
    }
    made = {one.chemical for _, one in facts.solutions}
    if any(one.done and one.task.station is Station.sink for one in facts.tasks):
        for chemical, name in needed.items():
            if chemical not in made:
                yield gap(
                    f"which {name} was used, and of which lot",
                    since=since,
                    policy=_SOLUTIONS,
                    kind=LineKind.supply,
                    evidence=where,
                    station=Station.sink,
                )
