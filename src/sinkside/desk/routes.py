"""Routes: instructions resolved against a department."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from sinkside import documents
from sinkside.department import Department
from sinkside.instruction import Instruction
from sinkside.route import Route, SetRoute, resolve, route_set
from sinkside.sets import SetDocument


def open_department(path: Path) -> Department:
    """What a department has, from its file.

    Raises:
        BadInput: if it cannot be read, or does not fit.
    """
    return documents.load(Department, path)


def route(instruction: Instruction, department: Department) -> Route:
    """One instruction against a department: what is done with what, or why not."""
    return resolve(instruction, department)


def route_together(
    instructions: Mapping[str, Instruction], department: Department, *, set_file: Path
) -> SetRoute:
    """The members of a set against a department, with one cycle for all or the split.

    Args:
        instructions: each under its file's name without the ending; a set may also say the device's name.
        department: what the site has.
        set_file: the set.

    Raises:
        BadInput: if the set cannot be read, or names a member that is not given.
    """
    named = {**{one.device.name: one for one in instructions.values()}, **instructions}
    return route_set(documents.load(SetDocument, set_file), named, department)
