"""What one shift tells the next: what soaks, what is open, what is held, what is due, and a note."""

from __future__ import annotations

from datetime import datetime
from typing import Final, Literal

from pydantic import AwareDatetime, Field

from sinkside.documents import Value
from sinkside.errors import BadInput, Conflict

LONGEST_NOTE: Final = 2000

HandedKind = Literal["soaks", "open", "held", "due"]


class Handed(Value):
    """One thing that is handed over: which set, where it is, and until when something is to be done.

    `until` is the end of a soak, or when a set is needed; none where no time presses.
    """

    kind: HandedKind
    code: str
    name: str
    state: str
    place: str = ""
    until: AwareDatetime | None = None
    words: str = ""


class Handover(Value):
    """That a shift handed over, and who took it over (`sinkside/handover-1`)."""

    format: Literal["sinkside/handover-1"] = "sinkside/handover-1"
    shift: str = Field(min_length=1)
    at: AwareDatetime
    by: str
    handed: tuple[Handed, ...] = ()
    note: str = Field(default="", max_length=LONGEST_NOTE)
    taken_by: str = ""
    taken_at: AwareDatetime | None = None
    answer: str = Field(default="", max_length=LONGEST_NOTE)

    @property
    def is_taken(self) -> bool:
        """Whether somebody took it over."""
        return self.taken_at is not None

    def of(self, kind: HandedKind) -> tuple[Handed, ...]:
        """What is handed over of one kind: what presses first."""
        those = (one for one in self.handed if one.kind == kind)
        return tuple(sorted(those, key=lambda one: (one.until is None, one.until or self.at, one.name)))


def taken_over(handover: Handover, *, by: str, at: datetime, answer: str = "") -> Handover:
    """The same, taken over by somebody else than who handed it over.

    Raises:
        Conflict: if somebody took it over already.
        BadInput: if it is the same person, or the answer is too long.
    """
    if handover.is_taken:
        raise Conflict("somebody took this over already", resource=handover.shift)
    if by == handover.by:
        raise BadInput("nobody takes over from themselves; expected somebody else", resource="by")
    if len(answer) > LONGEST_NOTE:
        raise BadInput(f"{len(answer)} signs; expected at most {LONGEST_NOTE}", resource="answer")
    return handover.model_copy(update={"taken_by": by, "taken_at": at, "answer": answer.strip()})
