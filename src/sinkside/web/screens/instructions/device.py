"""What the device and the maker's document are called, corrected where the draft misread it."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import Field

from sinkside.desk import editing
from sinkside.desk import shelf as desk_shelf
from sinkside.desk.instruction_view import device_name
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Done, Form
from sinkside.web.screens.instructions.shelf import screen

EDIT = "instruction-edit"
_DEVICE = f"{DEPARTMENT}/instructions/{{instruction}}/device"


@dataclass(frozen=True)
class DevicePage:
    """The form for what the device and the maker's document are called.

    Attributes:
        title: the heading.
        address: where it is sent.
        instruction: the address of the instruction.
        revision: the revision that it starts from.
        name: the device.
        maker: who makes it.
        document: the title of the maker's document.
        edition: its number or edition.
    """

    title: str
    address: str
    instruction: str
    revision: int
    name: str
    maker: str
    document: str
    edition: str


class DeviceWords(Form):
    """What the device and the document are called; `base` is the revision that the person had before them."""

    base: int = Field(ge=1, le=1_000_000)
    name: str = Field(min_length=1, max_length=200)
    maker: str = Field("", max_length=200)
    document: str = Field("", max_length=200)
    edition: str = Field("", max_length=200)


@screen.page(_DEVICE, right=EDIT, template="instruction_device.html")
def device(asked: Asked, instruction: str) -> DevicePage:
    """What the device and the maker's document are called."""
    opened = desk_shelf.open_instruction(asked.archive, asked.visitor, instruction)
    known = opened.instruction.device
    address = asked.at(f"/instructions/{opened.row.id}")
    return DevicePage(
        title=f"What is it called? {device_name(opened)}",
        address=f"{address}/device",
        instruction=address,
        revision=opened.revision.number,
        name=known.name,
        maker=known.maker,
        document=known.document.title,
        edition=known.document.revision,
    )


@screen.act(_DEVICE, right=EDIT, form=DeviceWords, page=device)
def describe(asked: Asked, form: DeviceWords, instruction: str) -> Done:
    """Correct what the device and the maker's document are called."""
    change = editing.Describe(form.name, form.maker, form.document, form.edition)
    number = editing.edit(asked.archive, asked.visitor, instruction, change, base=form.base, now=asked.now)
    return Done(
        go=asked.at(f"/instructions/{instruction}"), said=f"It is corrected; this is revision {number}."
    )
