"""What is kept of notes beside the steps of a lesson, and beside which steps of a revision they stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pydantic import AwareDatetime, Field

from sinkside.desk import shelf
from sinkside.desk.keeping import read_kept
from sinkside.desk.ports import Unit
from sinkside.documents import Value
from sinkside.instruction import Instruction
from sinkside.instruction.pairing import paired_steps
from sinkside.teach.same_step import is_same

KIND: Final = "lesson-notes"
LONGEST: Final = 500


class StepNote(Value):
    """A note beside a step of one revision: words, a photo, or both; by whom, and when."""

    step: str
    revision: int = Field(ge=1)
    text: str = Field(default="", max_length=LONGEST)
    photo: str = ""
    by: str
    at: AwareDatetime


class LessonNotes(Value):
    """What is noted beside the steps of an instruction (`sinkside/lesson-notes-1`)."""

    format: Literal["sinkside/lesson-notes-1"] = "sinkside/lesson-notes-1"
    notes: tuple[StepNote, ...] = ()


@dataclass(frozen=True)
class ShownNote:
    """A note beside a step as it is now; `to_look_at` where the step was changed since."""

    note: StepNote
    to_look_at: bool


@dataclass(frozen=True)
class SeenNotes:
    """What is noted beside the steps of a revision.

    Attributes:
        by_step: by the ids of its steps.
        homeless: what was noted of steps that are gone.
        number: the revision of the notes, which forms carry; 0 where there are none.
    """

    by_step: dict[str, ShownNote]
    homeless: tuple[StepNote, ...]
    number: int


def notes_of(unit: Unit, instruction: str, text: Instruction, revision: int) -> SeenNotes:
    """What is noted, beside the steps of one revision."""
    kept, number = kept_notes(unit, instruction)
    by_step: dict[str, ShownNote] = {}
    homeless = []
    places = {one.revision: _places(unit, instruction, one.revision, text, revision) for one in kept.notes}
    for note in kept.notes:
        found = places[note.revision].get(note.step)
        if found is None or (found[0] in by_step and not by_step[found[0]].to_look_at):
            homeless.append(note)
        else:
            by_step[found[0]] = ShownNote(note, to_look_at=not found[1])
    return SeenNotes(by_step, tuple(homeless), number)


def _places(
    unit: Unit, instruction: str, written_for: int, text: Instruction, revision: int
) -> dict[str, tuple[str, bool]]:
    """Step by step of an earlier revision, which step of a text it is, and whether it stayed as it was."""
    if written_for == revision:
        return {step.id: (step.id, True) for step in text.steps}
    before = read_kept(unit, shelf.KIND, instruction, Instruction, written_for)
    if before is None:
        return {}
    pairs = paired_steps(before.steps, text.steps)
    return {old.id: (new.id, is_same(old, new)) for old, new in pairs if old and new}


def kept_notes(unit: Unit, instruction: str) -> tuple[LessonNotes, int]:
    """The notes of an instruction, and their revision; 0 where there are none."""
    revision = unit.documents.get(KIND, instruction)
    kept = read_kept(unit, KIND, instruction, LessonNotes) if revision else None
    return kept or LessonNotes(), revision.number if revision else 0
