"""The water that may be left in a set: its cycle found on its route, its limits those of the department."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from sinkside import documents
from sinkside.department import Department
from sinkside.desk.machine_things import profile_of
from sinkside.desk.set_checking import texts_of
from sinkside.errors import BadInput
from sinkside.instruction import Instruction
from sinkside.moisture import Asked, Chosen, Moisture, Things, estimate
from sinkside.route import Load, Station, route_set
from sinkside.sets import SetDocument, load_set


def moisture_of(
    instructions: Mapping[str, Instruction],
    department: Department,
    *,
    set_file: Path,
    things_file: Path | None = None,
    program: str | None = None,
) -> Moisture:
    """The water that may be left in a set, after the cycle of its route or after one that is named.

    Args:
        instructions: each under its file's name without the ending; a set may also say the device's name.
        department: what the site has.
        set_file: the set.
        things_file: what of masses, materials and ways of lying the documents do not say.
        program: the name of a steam program; the one on the set's route unless told.

    Raises:
        BadInput: if a file cannot be read, a member's instruction is not given, or the department has no such
            program.
    """
    document = load_set(set_file)
    things = documents.load(Things, things_file) if things_file else Things()
    texts = texts_of(document, instructions)
    without = [member.called for member in document.members if member.called not in texts]
    if without:
        raise BadInput(f"no instruction is given of {', '.join(without)}", resource=document.name)
    chosen = _named(department, program) if program else _on_route(document, texts, department)
    return estimate(Asked(document, texts, department, profile_of(department), things), chosen)


def _named(department: Department, name: str) -> Chosen:
    """The program of a name, on the first machine that has it."""
    programs = [(machine, program) for machine in department.machines for program in machine.programs]
    for machine, program in programs:
        if program.name == name and program.kind.is_steam:
            return Chosen(machine.name, program)
    steam = dict.fromkeys(program.name for _, program in programs if program.kind.is_steam)
    raise BadInput(f"there is no steam program '{name}' here; expected one of {'; '.join(steam) or 'none'}")


def _on_route(
    document: SetDocument, texts: Mapping[str, Instruction], department: Department
) -> Chosen | None:
    """The steam program of the one load that all members share; none where they share none."""
    return chosen_of(route_set(document.by_name(), texts, department).loads, department)


def chosen_of(loads: Sequence[Load], department: Department) -> Chosen | None:
    """The program of the one sterilizing load among some; none where there are several, or none."""
    sterilizing = [load for load in loads if load.station is Station.sterilizer]
    if len(sterilizing) != 1:
        return None
    wanted = (sterilizing[0].machine, sterilizing[0].program)
    return next(
        (
            Chosen(machine.name, program)
            for machine in department.machines
            for program in machine.programs
            if (machine.id, program.name) == wanted
        ),
        None,
    )
