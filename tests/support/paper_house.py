"""A house whose papers hang: an approved text of a hook that dries 15 minutes, and a site that can do it."""

from __future__ import annotations

from sinkside.aids.papers import Kind
from sinkside.desk import departments, paper_printing, paper_register
from sinkside.desk.paper_making import PaperChoice
from sinkside.desk.paper_printing import Wanted
from support.desk_house import House, new_house
from support.routing import a_department, a_program, a_sterilizer
from support.set_house import a_device, approved

URL = "https://house.example/at/north/papers"
SITE = a_department(
    a_sterilizer(a_program("134 °C", "5 min", "15 min"), a_program("134 °C", "5 min", "30 min"))
)
PLACES = ("Sink 1", "Sink 2", "Packing bench", "Sterilizer 1")


def a_paper_house() -> tuple[House, str]:
    """The house with its people, and the id of the hook's instruction."""
    house = new_house()
    for name, role in (("eve", "educator"), ("uma", "educator"), ("lena", "lead"), ("tom", "technician")):
        house.add(name, role)
    house.add("olga", "auditor")
    departments.keep_department(house.archive, house.visitor("lena"), SITE, now=house.now)
    return house, approved(house, a_device("Quarl 3 hook", drying=15))


def printed(house: House, instruction: str, choice: PaperChoice | None = None, *, by: str = "eve") -> str:
    """The code of a paper that somebody printed; the poster unless told."""
    wanted = Wanted(instruction, choice or PaperChoice(Kind.poster), URL)
    return paper_printing.print_paper(house.archive, house.visitor(by), wanted, now=house.now).code


def four_posters_hang(house: House, instruction: str) -> list[str]:
    """Four copies of the poster at four places; the ids of the places."""
    code = printed(house, instruction)
    tom = house.visitor("tom")
    return [
        paper_register.hang(house.archive, tom, code, place=place, copies=1, now=house.now)
        for place in PLACES
    ]


def drying_changes(house: House, instruction: str) -> None:
    """The maker changes the drying from 15 to 30 minutes, and it is approved at 16:00 in Vienna."""
    house.now = house.now.replace(hour=15, minute=0)
    approved(house, a_device("Quarl 3 hook", drying=30, revision="2"), follows=instruction)
