"""A house with shifts, device families and people on a roster, for tests of sign-offs."""

from __future__ import annotations

from datetime import date, timedelta

from sinkside.department import Department, DeviceFamily, Shift
from sinkside.desk import approving, departments, roster, sign_offs
from sinkside.desk.sign_offs import Signing
from sinkside.instruction import Instruction, Origin, Step
from sinkside.quantities import Figure
from sinkside.route import Station
from sinkside.teach.sign_offs import Level
from support.desk_house import House, drafted, grasper, new_house, settle

SHOWN = {"lesson": "gone through today", "questions": "9 of 10", "observation": "watched at the bench"}
ALONE = Signing(Level.independent, SHOWN)

#: Invented: two shifts, one of them overnight, and one family that graspers are of.
DEPARTMENT = Department(
    name="North",
    zone="Europe/Vienna",
    shifts=(
        Shift(id="day", name="Day shift", begins="06:30", ends="21:00"),
        Shift(id="night", name="Night shift", begins="21:00", ends="06:30"),
    ),
    families=(DeviceFamily(id="graspers", name="graspers", words=("grasper",)),),
)


def standing_house() -> House:
    """Ada leads, Eve and Uma teach; Tom works by day, Nia and Kit by night, Kit until the end of March."""
    house = new_house()
    for name, role in (("eve", "educator"), ("uma", "educator"), ("olga", "auditor")):
        house.add(name, role)
    for name in ("tom", "nia", "kit"):
        house.add(name, "technician")
    ada = house.visitor("ada")
    departments.keep_department(house.archive, ada, DEPARTMENT, now=house.now)
    for name, shift, last in (("tom", "day", None), ("nia", "night", None), ("kit", "night", (3, 31))):
        last_day = date(2026, *last) if last else None
        roster.post(house.archive, ada, house.people[name], shift, last_day=last_day, now=house.now)
    return house


def signed_off(house: House, name: str, *stations: Station, family: str = "graspers") -> None:
    """Have Eve sign somebody off for work alone."""
    sign_offs.give(
        house.archive, house.visitor("eve"), house.people[name], family, stations, ALONE, now=house.now
    )


def grasper_text(minutes: float) -> Instruction:
    """A text that asks for drying at the bench and a cycle in the sterilizer."""
    text = grasper(134, "Steam, prevacuum: 134 °C, 4 min, drying 20 min.")
    figure = Figure(quantity="time", value=minutes, unit="min", as_written=f"{minutes:g} min")
    dry = Step(
        id="s1",
        stage="drying",
        action="dry",
        figures=(figure,),
        origin=Origin(page=1, line=7, text=f"Dry the device for {minutes:g} minutes."),
    )
    return text.model_copy(update={"steps": (dry, *text.steps[1:])})


def approved(house: House, text: Instruction, *, follows: str | None = None) -> str:
    """Have a text handed in by Uma, checked by her and approved by Ada."""
    instruction = drafted(house, "uma", text, follows=follows)
    revision = settle(house, "uma", instruction)
    approving.approve(
        house.archive,
        house.visitor("ada"),
        instruction,
        revision=revision,
        confirm_by=(house.now + timedelta(days=300)).date(),
        now=house.now,
    )
    return instruction
