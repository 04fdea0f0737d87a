"""A house in which an invented forceps is approved, so that it is taught."""

from __future__ import annotations

from sinkside.desk import departments
from sinkside.instruction import Feature, Instruction
from support.desk_house import House, new_house
from support.paper_house import SITE
from support.set_house import a_device, approved


def a_forceps() -> Instruction:
    """A text that dries a forceps and sterilizes it with its jaw open."""
    text = a_device("Quarl 7 sinus forceps", drying=15)
    dry, steam = text.steps
    device = text.device.model_copy(update={"features": (Feature(id="jaw", kind="jaw"),)})
    steps = (dry, steam.model_copy(update={"positions": {"jaw": "open"}}))
    return text.model_copy(update={"device": device, "steps": steps})


def a_taught_house() -> tuple[House, str]:
    """A house with people of each kind, where the forceps is approved; the id of its instruction."""
    house = new_house()
    for name, role in (("eve", "educator"), ("uma", "educator"), ("lena", "lead"), ("tom", "technician")):
        house.add(name, role)
    house.add("olga", "auditor")
    departments.keep_department(house.archive, house.visitor("lena"), SITE, now=house.now)
    return house, approved(house, a_forceps())
