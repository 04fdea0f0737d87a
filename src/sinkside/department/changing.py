"""A change of a department as data, so that what a refusal suggests can be tried and made.

A proposal is no more than that: a program counts once the department has validated it, a thing once it lies
on the shelf. Making the change is a person's act, and gives a new revision of the department.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from sinkside.department.document import (
    Air,
    Brush,
    Chemical,
    Department,
    Lubricant,
    Tool,
    WaterPoint,
)
from sinkside.department.packaging import Packaging
from sinkside.department.program import Program
from sinkside.documents import Value
from sinkside.errors import BadInput


class ValidatedProgram(Value):
    """A program that a machine of the department would have, beside those that it has."""

    kind: Literal["program"] = "program"
    machine: str
    program: Program


class Provided(Value):
    """One thing that the department would have: exactly one of the fields is given."""

    kind: Literal["thing"] = "thing"
    brush: Brush | None = None
    lubricant: Lubricant | None = None
    air: Air | None = None
    tool: Tool | None = None
    packaging: Packaging | None = None
    chemical: Chemical | None = None
    water: WaterPoint | None = None

    @model_validator(mode="after")
    def _is_one_thing(self) -> Provided:
        if len(self.things()) != 1:
            raise ValueError("expected exactly one thing that the department would have")
        return self

    def things(self) -> Mapping[str, Value]:
        """What is given, by the name of its field."""
        named = {name: getattr(self, name) for name in _SHELVES}
        return {name: thing for name, thing in named.items() if thing is not None}


Edit = Annotated[ValidatedProgram | Provided, Field(discriminator="kind")]

#: Where each kind of thing stands in a department.
_SHELVES: Mapping[str, str] = {
    "brush": "brushes",
    "lubricant": "lubricants",
    "air": "air",
    "tool": "tools",
    "packaging": "packaging",
    "chemical": "chemicals",
    "water": "water",
}


def changed(department: Department, edit: ValidatedProgram | Provided) -> Department:
    """The department as it would be with a change made; nothing else of it moves.

    Raises:
        BadInput: if the change names a machine that the department does not have.
    """
    make: Callable[[], dict[str, Any]] = (
        (lambda: _with_program(department, edit))
        if isinstance(edit, ValidatedProgram)
        else (lambda: _with_thing(department, edit))
    )
    return department.model_copy(update=make())


def _with_program(department: Department, edit: ValidatedProgram) -> dict[str, Any]:
    if edit.machine not in {machine.id for machine in department.machines}:
        known = ", ".join(machine.id for machine in department.machines) or "none"
        raise BadInput(f"no machine is called '{edit.machine}'; known are {known}", resource=department.name)
    machines = []
    for machine in department.machines:
        if machine.id != edit.machine:
            machines.append(machine)
            continue
        taken = {program.name for program in machine.programs}
        named = edit.program.model_copy(update={"name": _free(edit.program.name, taken)})
        machines.append(machine.model_copy(update={"programs": (*machine.programs, named)}))
    return {"machines": tuple(machines)}


def _with_thing(department: Department, edit: Provided) -> dict[str, Any]:
    ((name, thing),) = edit.things().items()
    shelf = _SHELVES[name]
    identified: Any = thing
    taken = {item.id for other in _SHELVES.values() for item in getattr(department, other)}
    taken |= {machine.id for machine in department.machines}
    own = identified.model_copy(update={"id": _free(identified.id, taken)})
    return {shelf: (*getattr(department, shelf), own)}


def _free(name: str, taken: set[str]) -> str:
    """The name, numbered if something else bears it already."""
    number, free = 1, name
    while free in taken:
        number += 1
        free = f"{name} ({number})"
    return free
