"""What stands beside a chosen step: the drawing of the device, or the department's own photo."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.aids.lettered_photo import lettered_photo_svg
from sinkside.desk.photos import photo_beside
from sinkside.desk.shelf import OpenInstruction
from sinkside.desk.step_drawing import step_drawing
from sinkside.instruction import Step
from sinkside.web.asked import Asked


@dataclass(frozen=True)
class LetterBeside:
    """A letter of the photo: what is there, and whether the step is about it."""

    letter: str
    what: str
    here: bool


@dataclass(frozen=True)
class Beside:
    """What stands beside a step.

    Attributes:
        svg: the drawing, or the photo with its letters; empty where there is neither.
        is_photo: whether it is the photo.
        letters: of a photo, those that the step is about first.
        to_look_at: whether the letters were placed on an earlier photo.
    """

    svg: str
    is_photo: bool = False
    letters: tuple[LetterBeside, ...] = ()
    to_look_at: bool = False


def beside_step(asked: Asked, opened: OpenInstruction, step: Step | None, address: str) -> Beside:
    """What stands beside a chosen step; nothing where none is chosen.

    Args:
        asked: who looks.
        opened: the instruction.
        step: the chosen step.
        address: of the instruction.
    """
    if step is None:
        return Beside("")
    found = photo_beside(asked.archive, opened, step)
    if found is None:
        return Beside(step_drawing(opened, step))
    letters = [LetterBeside(one.letter, one.what, one.letter in found.letters) for one in found.photo.points]
    href = f"{address}/photo/{found.digest}"
    return Beside(
        svg=lettered_photo_svg(found.photo, href, key="device", lit=found.letters),
        is_photo=True,
        letters=tuple(sorted(letters, key=lambda one: not one.here)),
        to_look_at=found.to_look_at,
    )
