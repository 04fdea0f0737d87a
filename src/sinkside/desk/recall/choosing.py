"""What a recall may begin with here: machines and water, texts, people, chemicals with their lots."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.bench.recall import Where
from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.instruction_view import row_words
from sinkside.desk.machine_things import things_of
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.recall.rights import READ
from sinkside.desk.solution_log import SOLUTION
from sinkside.route import Station

_MOST: Final = 500

#: The station of a sign-off, and where recalls look for what somebody did there.
WHERE_OF: Final = {
    Station.sink: Where.sink,
    Station.ultrasonic: Where.sink,
    Station.washer: Where.loads,
    Station.bench: Where.inspection,
    Station.packing: Where.packing,
    Station.sterilizer: Where.loads,
    Station.store: Where.store,
}

#: Where somebody worked, in words.
WHERE_WORDS: Final = {
    Where.sink: "at the sink",
    Where.inspection: "at inspection",
    Where.packing: "at packing",
    Where.loads: "with loads: built, started, taken out, decided on",
    Where.store: "in the store",
}

Named = tuple[str, str]


@dataclass(frozen=True)
class Choices:
    """What a recall may begin with, by id and name: machines and water, texts, people, chemicals; lots."""

    machines: tuple[Named, ...]
    texts: tuple[Named, ...]
    people: tuple[Named, ...]
    chemicals: tuple[Named, ...]
    lots: tuple[str, ...]


def choices(archive: Archive, who: Visitor) -> Choices:
    """What a recall may begin with in this department.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        site = department_in(unit, who.department)
        texts = unit.rows.all(shelf.KIND, [who.department], states=("approved",), limit=_MOST)
        logged = unit.rows.all(SOLUTION, [who.department], limit=_MOST)
        people = _people(unit, who)
    known = {one.id: one.name for one in site.chemicals} if site else {}
    logged_of = {str(row.fields["chemical"]): row.title.partition(",")[0] for row in logged}
    return Choices(
        machines=tuple((one.id, one.name) for one in (things_of(site) if site else ()) if one.machines),
        texts=tuple((row.id, row_words(row)[0]) for row in texts),
        people=people,
        chemicals=tuple({**logged_of, **known}.items()),
        lots=tuple(dict.fromkeys(str(row.fields["lot"]) for row in logged)),
    )


def _people(unit: Unit, who: Visitor) -> tuple[Named, ...]:
    """Whoever did something here; one whose name was erased goes by pseudonym."""
    names = names_in(unit, unit.bench.tracing.people(who.department))
    return tuple(sorted(names.items(), key=lambda one: one[1]))
