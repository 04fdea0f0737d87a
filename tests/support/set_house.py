"""Texts and sets for tests of sets; everything invented."""

from __future__ import annotations

from collections.abc import Sequence

from sinkside.desk import approving
from sinkside.instruction import Device, Instruction, MakerDocument, Origin, Part, PartUse, Step
from sinkside.quantities import Figure, Quantity
from support.desk_house import House, drafted, settle


def a_device(
    name: str,
    *parts: Part,
    mass: str = "",
    minutes: float = 5,
    drying: float = 25,
    celsius: float = 134,
    revision: str = "1",
) -> Instruction:
    """A text for a device that is dried and then sterilized in one named prevacuum cycle."""
    dry = Step.model_validate(
        {"id": "s1", "stage": "drying", "action": "dry", "origin": Origin(page=1, line=7, text="Dry it.")}
    )
    figures = [
        Figure(quantity="temperature", value=celsius, unit="°C", as_written=f"{celsius:g} °C"),
        Figure(quantity="time", value=minutes, unit="min", as_written=f"{minutes:g} min", role="exposure"),
        Figure(quantity="time", value=drying, unit="min", as_written=f"{drying:g} min", role="drying"),
    ]
    words = f"Steam, prevacuum, {celsius:g} °C, {minutes:g} min, drying {drying:g} min."
    steam = Step.model_validate(
        {
            "id": "s2",
            "stage": "sterilization",
            "action": "sterilize",
            "air_removal": "prevacuum",
            "figures": figures,
            "origin": Origin(page=1, line=9, text=words),
        }
    )
    device = Device(
        name=name,
        maker="Invented",
        document=MakerDocument(title="Processing", revision=revision),
        parts=parts,
        mass=Quantity.parse(mass) if mass else None,
    )
    return Instruction(device=device, steps=(dry, steam))


def a_part(name: str, use: PartUse = PartUse.reusable, mass: str = "") -> Part:
    """A part that goes by its name."""
    return Part(id=name.replace(" ", "-"), name=name, use=use, mass=Quantity.parse(mass) if mass else None)


def approved(house: House, text: Instruction, *, follows: str | None = None) -> str:
    """A text that was handed in, settled and approved; its instruction's id."""
    key = drafted(house, "eve", text, follows=follows)
    number = settle(house, "eve", key)
    day = (house.now.date()).replace(year=house.now.year + 1)
    approving.approve(
        house.archive, house.visitor("uma"), key, revision=number, confirm_by=day, now=house.now
    )
    return key


def approved_all(house: House, texts: Sequence[Instruction]) -> dict[str, str]:
    """The ids of several approved texts by what their devices are called."""
    return {text.device.name: approved(house, text) for text in texts}
