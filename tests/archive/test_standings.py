"""The roster and the standings, on both databases and against their twin in memory."""

from __future__ import annotations

from datetime import timedelta
from itertools import product

from sinkside.archive import WorkspaceArchive
from sinkside.desk.ports import Unit
from sinkside.records import Post, Standing, WantedStandings
from support.archive_places import DEPARTMENT, person
from support.archive_places import NOW as START
from support.memory_archive import MemoryArchive

FAMILIES, STATIONS, SHIFTS = ("hooks", "micro"), ("bench", "sink"), ("day", "night")


def _standing(family: str, station: str, who: str, number: int) -> Standing:
    state = ("independent", "open-again", "supervised", "independent")[number % 4]
    due = START + timedelta(days=number % 7) if number % 5 else None
    return Standing(
        department=DEPARTMENT,
        family=family,
        station=station,
        person=who,
        level="supervised" if state == "supervised" else "independent",
        given=START,
        state=state,
        due=due,
        until=due if state == "independent" else None,
        reopened=due if state == "open-again" else None,
        fields={"why": f"drying 15 → {number} min"},
    )


def _fill(unit: Unit, people: list[str]) -> None:
    for number, (family, station, who) in enumerate(product(FAMILIES, STATIONS, people)):
        unit.standings.put(_standing(family, station, who, number))
    unit.roster.put(Post(DEPARTMENT, people[0], "day"))
    unit.roster.put(Post(DEPARTMENT, people[1], "night", START + timedelta(days=2)))
    unit.roster.put(Post(DEPARTMENT, people[2], "night"))
    unit.roster.put(Post(DEPARTMENT, people[2], "day"))


def _answers(unit: Unit, people: list[str]) -> list[object]:
    """What both are asked, in an order that does not hang on the database."""
    wanted = [
        WantedStandings("independent", before=START + timedelta(days=5)),
        WantedStandings("independent", since=START + timedelta(days=1), limit=2, offset=1),
        WantedStandings("open-again", shift="night"),
        WantedStandings("supervised", shift="day", persons=people[:2]),
    ]
    return [
        *(unit.standings.of_person(DEPARTMENT, one) for one in people),
        unit.standings.of_family(DEPARTMENT, ["hooks"]),
        unit.standings.alone(DEPARTMENT, FAMILIES, ["night"], START + timedelta(days=1)),
        *(unit.standings.due(DEPARTMENT, one) for one in wanted),
        *(unit.standings.count_due(DEPARTMENT, one) for one in wanted),
        *(sorted(map(str, unit.standings.cover(DEPARTMENT, one))) for one in (None, ["micro"])),
        unit.standings.families(DEPARTMENT),
        unit.standings.get(DEPARTMENT, "hooks", "sink", people[0]),
        unit.standings.get(DEPARTMENT, "hooks", "store", people[0]),
        *(unit.roster.of_person(DEPARTMENT, one) for one in people),
        unit.roster.on(DEPARTMENT, SHIFTS),
        unit.roster.counts(DEPARTMENT),
    ]


def test_the_tables_answer_as_their_twin_does(archive: WorkspaceArchive) -> None:
    """What is asked of standings and roster is answered alike, before a person is erased and after."""
    twin = MemoryArchive()
    known = [person(number, f"Name {number}") for number in range(4)]
    people = [one.id for one in known]
    for one in (archive, twin):
        with one.unit() as unit:
            for somebody in known:
                unit.people.add(somebody, salt=bytes(16))
            _fill(unit, people)
    with archive.unit(writes=False) as unit, twin.unit(writes=False) as other:
        assert _answers(unit, people) == _answers(other, people)
    for one in (archive, twin):
        with one.unit() as unit:
            unit.standings.close(people[2])
            unit.people.erase(people[2])
            unit.roster.remove(DEPARTMENT, people[0], "day")
    with archive.unit(writes=False) as unit, twin.unit(writes=False) as other:
        assert _answers(unit, people) == _answers(other, people)
        assert unit.roster.counts(DEPARTMENT) == {"night": 1}, "posts go with their person"
        kept = unit.standings.of_person(DEPARTMENT, people[2])
        assert [one.state for one in kept] == ["closed"] * 4, "standings stay under the pseudonym"
