"""A house in which devices of the demo are approved, so that they are taught; everything invented."""

from __future__ import annotations

import functools
from importlib import resources

from sinkside.department import Department
from sinkside.desk import departments
from sinkside.documents import load
from sinkside.instruction import Instruction
from support.desk_house import House, new_house
from support.set_house import approved

_DATA = resources.files("sinkside.demo").joinpath("data")


@functools.cache
def demo_text(name: str) -> Instruction:
    """A text of the demo."""
    with resources.as_file(_DATA) as folder:
        return load(Instruction, folder / "instructions" / f"{name}.yaml")


def a_taught_house(*names: str) -> tuple[House, list[str]]:
    """A house with people of each kind, where texts of the demo are approved; their instructions' ids."""
    house = new_house()
    for name, role in (("eve", "educator"), ("uma", "educator"), ("lena", "lead"), ("tom", "technician")):
        house.add(name, role)
    house.add("olga", "auditor")
    with resources.as_file(_DATA) as folder:
        site = load(Department, folder / "department.yaml")
    departments.keep_department(house.archive, house.visitor("lena"), site, now=house.now)
    return house, [approved(house, demo_text(name)) for name in names]
