"""What of a department leans on something that it does not have, or on what nobody published."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.department.document import Department
from sinkside.errors import BadInput, Fault, SinksideError
from sinkside.journal import known_zone
from sinkside.limits import published
from sinkside.limits.units import base_unit


def incoherent(department: Department, *, before: Department | None = None) -> list[Fault]:
    """Every place where a phase names what is not there, or a limit or a time zone is none.

    Args:
        department: as it would be.
        before: as it was; what was loose then already is nobody's fault now.
    """
    known = {str(fault) for fault in _loose(before)} if before else set()
    return [fault for fault in _loose(department) if str(fault) not in known]


def _loose(department: Department) -> Iterator[Fault]:
    shelves = {
        "chemical": [one.id for one in department.chemicals],
        "water": [one.id for one in department.water],
    }
    for at, machine in enumerate(department.machines):
        for place, program in enumerate(machine.programs):
            for number, phase in enumerate(program.phases):
                for field, ids in shelves.items():
                    named = getattr(phase, field)
                    if named and named not in ids:
                        path = f"machines[{at}].programs[{place}].phases[{number}].{field}"
                        where = f"{machine.name}, {program.name}, {phase.name.value}"
                        told = f"{where} takes '{named}', which is not here; here are {_listed(ids)}"
                        yield Fault(path, told)
    try:
        known_zone(department.zone)
    except BadInput as error:
        yield Fault("zone", error.message)
    for at, own in enumerate(department.overrides):
        try:
            own.value.to(base_unit(published(own.limit).unit))
        except SinksideError as error:
            yield Fault(f"overrides[{at}].limit", error.message)


def _listed(ids: list[str]) -> str:
    return ", ".join(ids) or "none"
