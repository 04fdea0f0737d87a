"""What the page "Teaching" leads to beside lessons: by right, address within the department, and words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.web.asked import Asked
from sinkside.web.screen import Option


@dataclass(frozen=True)
class Room:
    """A room of teaching: who may enter, where it is, what it is called.

    `{instruction}` in `path` stands for the device's instruction.
    """

    right: str
    path: str
    words: str


#: Of each device.
OF_A_DEVICE: Final[tuple[Room, ...]] = (
    Room("lesson-edit", "/questions/{instruction}", "Questions"),
    Room("lesson-edit", "/teaching/{instruction}/questions/quality", "Are the questions any good"),
    Room("instruction-read", "/papers/new?instruction={instruction}&kind=lesson", "Handout"),
    Room("observe", "/observing/new?instruction={instruction}", "Observe"),
    Room("roll-out-edit", "/roll-outs/new?instruction={instruction}", "Roll it out"),
)

#: Of the department.
OF_THE_HOUSE: Final[tuple[Room, ...]] = (
    Room("learn", "/learning/team", "What the team has fresh"),
    Room("proof-read", "/roll-outs", "Roll-outs"),
    Room("observe", "/observing", "Observations"),
    Room("proof-read", "/proof", "Proof"),
)


def rooms(asked: Asked, of: tuple[Room, ...], instruction: str = "") -> tuple[Option, ...]:
    """The rooms that whoever asks may enter, with their addresses."""
    return tuple(
        Option(asked.at(room.path.format(instruction=instruction)), room.words)
        for room in of
        if asked.visitor.may(room.right)
    )
