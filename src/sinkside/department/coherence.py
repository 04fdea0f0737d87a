"""What of a department leans on something that it does not have, or on what nobody published."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.department.document import Department
from sinkside.errors import BadInput, Fault, SinksideError
from sinkside.journal import known_zone
from sinkside.limits import published
from sinkside.limits.units import base_unit


def incoherent(department: Department, *, before: Department | None = None) -> list[Fault]:
    """Every place where something that is named is not there: a chemical, shift, limit, time zone, day.

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
    yield from _loose_people(department)
    try:
        known_zone(department.zone)
    except BadInput as error:
        yield Fault("zone", error.message)
    for at, own in enumerate(department.overrides):
        try:
            own.value.to(base_unit(published(own.limit).unit))
        except SinksideError as error:
            yield Fault(f"overrides[{at}].limit", error.message)


def _loose_people(department: Department) -> Iterator[Fault]:
    """Staff on a shift, or skilled for a family, that is not there; work on a day on which nobody works."""
    shifts = [shift.id for shift in department.shifts]
    families = [family.id for family in department.families]
    for at, staff in enumerate(department.staff):
        if staff.shift not in shifts:
            told = f"{staff.role} are on '{staff.shift}', which is not here; here are {_listed(shifts)}"
            yield Fault(f"staff[{at}].shift", told)
        for name in staff.families:
            if name not in families:
                here = f"which is not here; here are {_listed(families)}"
                yield Fault(f"staff[{at}].families", f"{staff.role} are skilled for '{name}', {here}")
    for at, opening in enumerate(department.hours):
        if opening.day in department.closed:
            yield Fault(f"hours[{at}].day", f"{opening.day.value} is a day on which nobody works here")
    for at, shift in enumerate(department.shifts):
        if shift.days and set(shift.days) <= set(department.closed):
            yield Fault(f"shifts[{at}].days", f"nobody works here on {_listed([*map(str, shift.days)])}")


def _listed(ids: list[str]) -> str:
    return ", ".join(ids) or "none"
