"""What is looked after day by day: machines, rooms, water points, borescopes, each a thing with checks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from sinkside.department import Department, Machine, MachineKind, ProgramKind
from sinkside.desk.access import Visitor
from sinkside.desk.departments import department_in
from sinkside.desk.ports import Unit
from sinkside.errors import NotThere
from sinkside.limits import Override, Profile, Relation, profile, published
from sinkside.limits.units import base_unit

_BORESCOPE: Final = "borescope"

#: What steam programs do to the air, where an air-removal test and a leak rate test can tell of it.
_DRAWS_AIR: Final = frozenset({ProgramKind.steam_prevacuum, ProgramKind.steam_pulse})

_MACHINE_WORDS: Final = {MachineKind.washer_disinfector: "washer-disinfector"}
_WATER_WORDS: Final = {
    "tap": "water point, tap water",
    "utility": "water point, utility water",
    "demineralised": "water point, demineralised water",
    "critical": "water point, critical water",
    "sterile": "sterile water",
}
_ROOM_WORDS: Final = {"cleaning": "cleaning room", "packing": "packing room", "store": "sterile store"}


@dataclass(frozen=True)
class Thing:
    """A machine, room, water point or tool: id, name, what it is in words, and its kinds for the policy.

    `machines` are the machines whose loads it concerns: itself, or those that draw this water.
    """

    id: str
    name: str
    words: str
    kinds: frozenset[str]
    machine: Machine | None = None
    machines: tuple[str, ...] = ()


def things_of(site: Department) -> tuple[Thing, ...]:
    """Everything of a department that may need checks, in the order of its document."""
    machines = [_of_machine(machine) for machine in site.machines]
    rooms = [
        Thing(
            room.id,
            room.name,
            _ROOM_WORDS[room.kind.value],
            frozenset({"room", f"room-{room.kind.value}", *(["eyewash"] if room.eyewash else [])}),
        )
        for room in site.rooms
    ]
    water = [
        Thing(
            point.id,
            point.name,
            _WATER_WORDS[point.grade.value],
            frozenset({"water", f"water-{point.grade.value}"}),
            machines=tuple(machine.id for machine in site.machines if _draws(machine, point.id)),
        )
        for point in site.water
    ]
    tools = [
        Thing(tool.id, tool.name, tool.kind, frozenset({tool.kind}))
        for tool in site.tools
        if tool.kind == _BORESCOPE
    ]
    return (*machines, *rooms, *water, *tools)


def thing_in(unit: Unit, who: Visitor, thing: str) -> Thing:
    """A thing of the visitor's department.

    Raises:
        NotThere: if there is none here.
    """
    site = department_in(unit, who.department)
    found = next((one for one in things_of(site) if one.id == thing), None) if site else None
    if found is None:
        raise NotThere("there is no such machine, room, water point or tool here", resource=thing)
    return found


def profile_of(site: Department) -> Profile:
    """The limits that a department works to, with its own in their place."""
    chosen = profile(site.profile)
    own = []
    for given in site.overrides:
        figure = published(given.limit)
        if figure.relation is not Relation.between:
            value = given.value.to(base_unit(figure.unit))
            own.append(Override(figure.id, figure.value, (value, value), given.reason))
    return replace(chosen, overrides=tuple(own))


def _of_machine(machine: Machine) -> Thing:
    kinds = {machine.kind.value}
    if machine.kind is MachineKind.steam_sterilizer and any(
        program.kind in _DRAWS_AIR for program in machine.programs
    ):
        kinds.add("steam-with-air-removal")
    words = _MACHINE_WORDS.get(machine.kind, machine.kind.value.replace("-", " "))
    return Thing(machine.id, machine.name, words, frozenset(kinds), machine, (machine.id,))


def _draws(machine: Machine, water: str) -> bool:
    return any(phase.water == water for program in machine.programs for phase in program.phases)
