"""What ought to be known of a run and is not recorded, each in a sentence; nothing is taken as done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Final

from sinkside.bench.behind import TOLD_BY_MOMENTS, stations_behind
from sinkside.bench.plan import Line
from sinkside.bench.run import Place
from sinkside.department import Station
from sinkside.desk.evidence.beside import chemicals_at_the_sink
from sinkside.desk.evidence.facts import Gap, LoadThen, RunFacts, TaskThen
from sinkside.desk.indicators_before_release import not_there_at_decision
from sinkside.plain.operations import station_label

_MOST_NAMED: Final = 3
_STEAM_DONE: Final = frozenset({Place.sterilized, Place.in_store, Place.issued})


def gaps_of(facts: RunFacts) -> tuple[Gap, ...]:
    """Everything that is not recorded of a run, in the order of the work."""
    found = [
        *_of_texts(facts),
        *_of_use(facts),
        *_of_tasks(facts),
        *_of_signing(facts),
        *_of_solutions(facts),
    ]
    found += [*_of_lines(facts), *_of_packing(facts)]
    found += [gap for load in facts.loads if load.inside for gap in _of_load(load)]
    found += _of_papers(facts)
    order = [None, *Station]
    return tuple(sorted(found, key=lambda one: order.index(one.station)))


def _of_texts(facts: RunFacts) -> Iterator[Gap]:
    for text in facts.texts:
        name = text.instruction.device.name
        if text.approval is None:
            yield Gap("Instruction", f"Who approved revision {text.made.number} of {name} is not recorded.")
        if text.route is None:
            yield Gap("Route", f"The route of {name} as it was then cannot be worked out again.")
        if not text.instruction.device.document.revision:
            yield Gap("Instruction", f"The edition of the maker’s text of {name} is not stated.")


def _of_use(facts: RunFacts) -> Iterator[Gap]:
    if facts.run.last_used is None:
        sentence = "When the set was last used is not recorded: its soil clock began when it arrived."
        yield Gap("Use", sentence, Station.theatre)
    if facts.before is None:
        yield Gap("Use", "In which case it was used before is not recorded.", Station.theatre)


def _of_tasks(facts: RunFacts) -> Iterator[Gap]:
    """Tasks that lie behind the set and are not recorded, station by station."""
    done_with = stations_behind(facts.run.place)
    missing: dict[Station, list[TaskThen]] = {}
    for one in facts.tasks:
        task = one.task
        elsewhere = task.station in {Station.theatre, Station.transport}
        if one.is_recorded or task.station not in done_with or task.action in TOLD_BY_MOMENTS:
            continue
        if task.required or elsewhere:
            missing.setdefault(task.station, []).append(one)
    for station, tasks in missing.items():
        words = Counter(one.task.words for one in tasks)
        named = "; ".join(list(words)[:_MOST_NAMED])
        more = f"; and {len(words) - _MOST_NAMED} more" if len(words) > _MOST_NAMED else ""
        yield Gap("Work", f"{station_label(station).capitalize()}: not recorded – {named}{more}.", station)


def _of_signing(facts: RunFacts) -> Iterator[Gap]:
    """Who did something without a sign-off that held: who worked beside them then, nobody wrote down."""
    told: dict[tuple[str, Station, str], None] = {}
    for stood in facts.stood:
        if stood.level is None:
            said = "no sign-off is recorded for"
        elif not stood.worked_alone:
            said = "was not signed off to work alone at"
        else:
            continue
        told[stood.person, stood.station, said] = None
    for person, station, said in told:
        sentence = f"{said} the {station.value}; who worked beside them is not recorded."
        yield Gap("Sign-offs", sentence, station, person)


def _of_solutions(facts: RunFacts) -> Iterator[Gap]:
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
                sentence = f"Which {name} was used, of which lot, is not recorded."
                yield Gap("Solutions", sentence, Station.sink)


def _of_lines(facts: RunFacts) -> Iterator[Gap]:
    done_with = stations_behind(facts.run.place)
    lines, run = facts.plan.lines, facts.run
    unseen = [one for one in lines if one.id not in run.looked]
    if Station.bench in done_with and unseen:
        yield Gap("Inspection", f"Nobody’s look is recorded at {_named(unseen)}.", Station.bench)
    uncounted = [one for one in lines if one.id not in run.counted]
    if Station.packing in done_with and uncounted:
        yield Gap("Count", f"No count is recorded of {_named(uncounted)}.", Station.packing)


def _of_packing(facts: RunFacts) -> Iterator[Gap]:
    packed, done_with = facts.run.packed, stations_behind(facts.run.place)
    if Station.packing in done_with and packed is None:
        yield Gap("Pack", "How it was packed is not recorded.", Station.packing)
    if packed is not None and packed.mass_kg is None and facts.plan.mass_kg is not None:
        yield Gap("Pack", "What the pack weighed is not recorded.", Station.packing)
    stations = {one.inside.station for one in facts.loads if one.inside}
    if Station.washer in done_with and facts.plan.machines(Station.washer) and Station.washer not in stations:
        yield Gap("Load", "No load of a washer-disinfector is recorded.", Station.washer)
    if facts.run.place in _STEAM_DONE and Station.sterilizer not in stations:
        yield Gap("Load", "No load of a sterilizer is recorded.", Station.sterilizer)


def _of_load(load: LoadThen) -> Iterator[Gap]:
    """What is not recorded of one load: its record, a verdict, what belongs beside it, a decision."""
    station = Station(load.load.station)
    name = str(load.load.fields.get("machine_name") or load.load.machine)
    read = str(load.load.fields.get("read") or "")
    if load.cycle is None:
        instead = f" It was decided by what was read at the machine: {read}." if read else ""
        yield Gap("Load", f"{name}: no record of the cycle.{instead}", station)
    else:
        yield from _of_cycle(load, name, station)
    if load.load.state not in {"released", "held"}:
        yield Gap("Load", f"{name}: nobody has decided on the load.", station)


def _of_cycle(load: LoadThen, name: str, station: Station) -> Iterator[Gap]:
    judged = load.cycle.judged if load.cycle else None
    if judged is None or judged.verdict is None:
        why = f": {judged.summary}" if judged else ""
        yield Gap("Verdict", f"{name}: the record has no verdict{why}.", station)
    else:
        unseen = [what for what, said in judged.verdict.evidence.items() if said == "not evidenced"]
        if unseen:
            said = ", ".join(what.replace("_", " ") for what in unseen)
            yield Gap("Verdict", f"{name}: the record does not show {said}.", station)
    decision = load.cycle.decision if load.cycle else None
    for one in not_there_at_decision(load.needed, decision.without if decision else ()):
        yield Gap("Load", f"{name}, {one.name[0].lower()}{one.name[1:]}: {one.sentence}", station)


def _of_papers(facts: RunFacts) -> Iterator[Gap]:
    if not facts.papers:
        yield Gap("Papers", "No poster or card is recorded that hung while it was processed.")


def _named(lines: list[Line]) -> str:
    named = ", ".join(one.words for one in lines[:_MOST_NAMED])
    more = len(lines) - _MOST_NAMED
    return f"{named} and {more} more lines" if more > 0 else named
