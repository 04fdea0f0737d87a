"""What is still to do before a revision may be approved: findings to answer, steps to accept."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.desk.standing import Standing
from sinkside.findings import Level
from sinkside.instruction import Instruction

_NOTHING_READ: Final = "no step could be read: hand in the right document, or add its steps"


@dataclass(frozen=True)
class StillToDo:
    """What keeps a revision from being approved.

    Attributes:
        stops: open stops, and
        concerns: open concerns; a question to the maker leaves both open.
        steps: steps with figures that nobody accepted or corrected.
        from_pictures: those of them that were read from a picture.
        nothing_read: whether no step could be read, so that there is nothing to approve.
    """

    stops: tuple[Standing, ...] = ()
    concerns: tuple[Standing, ...] = ()
    steps: tuple[str, ...] = ()
    from_pictures: tuple[str, ...] = ()
    nothing_read: bool = False

    @property
    def findings(self) -> tuple[Standing, ...]:
        """Every finding to answer, stops first."""
        return (*self.stops, *self.concerns)

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to do."""
        return not self.findings and not self.steps and not self.nothing_read

    @property
    def waits_for_the_maker(self) -> bool:
        """Whether all that is left is to wait for the maker's answers."""
        return (
            bool(self.findings)
            and not self.steps
            and not self.nothing_read
            and all(one.answer for one in self.findings)
        )

    @property
    def words(self) -> str:
        """How much is left, in words: 3 stops, 1 concern, 12 steps."""
        if self.nothing_read:
            return "no step was read"
        numbers = {"stop": len(self.stops), "concern": len(self.concerns), "step": len(self.steps)}
        return ", ".join(
            f"{number} {noun}{'' if number == 1 else 's'}" for noun, number in numbers.items() if number
        )

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is left, one sentence each, the gravest first."""
        told = [_NOTHING_READ] if self.nothing_read else []
        for findings, noun in ((self.stops, "stop"), (self.concerns, "concern")):
            if findings:
                told.append(f"{counted(len(findings), noun)} open and must be answered first")
        if self.steps:
            pictured = len(self.from_pictures)
            read = f" ({pictured} read from a picture)" if pictured else ""
            steps = counted(len(self.steps), "step with figures", "steps with figures")
            told.append(
                f"{steps} not accepted yet{read}: somebody must compare each with the maker's words, "
                "and accept or correct it"
            )
        return tuple(told)


def still_to_do(
    instruction: Instruction, findings: Sequence[Standing], accepted: Collection[str]
) -> StillToDo:
    """What keeps a revision from being approved; `accepted` are the steps that somebody confirmed."""
    waiting = [one for one in findings if one.is_open]
    steps = [step for step in instruction.steps if step.figures and step.id not in accepted]
    return StillToDo(
        stops=tuple(one for one in waiting if one.finding.level is Level.stop),
        concerns=tuple(one for one in waiting if one.finding.level is Level.concern),
        steps=tuple(step.id for step in steps),
        from_pictures=tuple(step.id for step in steps if step.origin.picture),
        nothing_read=not instruction.steps,
    )


def counted(number: int, one: str, many: str = "") -> str:
    """A number of things, and that they are: 1 stop is, 3 stops are."""
    return f"1 {one} is" if number == 1 else f"{number} {many or one + 's'} are"
