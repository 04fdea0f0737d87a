"""Two revisions of one instruction side by side, in the trade's terms."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Annotated

from fastapi import Query

from sinkside.desk import shelf as desk_shelf
from sinkside.desk.instruction_view import device_name, stage_words
from sinkside.desk.people import names_of
from sinkside.desk.shelf import RevisionLine
from sinkside.errors import NotThere
from sinkside.instruction.comparison import Change
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Option
from sinkside.web.screens.instructions.shelf import READ, screen

Number = Annotated[int | None, Query(ge=1, le=1_000_000)]

_KINDS = {"added": "new", "removed": "gone", "changed": "changed", "moved": "moved"}


@dataclass(frozen=True)
class ChangeShown:
    """One difference: what it concerns, how it was, how it is, and the steps on both sides."""

    kind: str
    what: str
    before: str
    after: str
    sentence: str
    step_before: str
    step_after: str


@dataclass(frozen=True)
class ChangesOfStage:
    """The differences of one stage, or of the device."""

    stage: str
    changes: tuple[ChangeShown, ...]


@dataclass(frozen=True)
class ComparisonPage:
    """What changed between two revisions; `choices` are the revisions there are, as number and words."""

    title: str
    address: str
    instruction: str
    before: int
    after: int
    before_words: str
    after_words: str
    choices: tuple[Option, ...]
    stages: tuple[ChangesOfStage, ...]
    count: int


@screen.page(
    f"{DEPARTMENT}/instructions/{{instruction}}/compare", right=READ, template="instruction_compare.html"
)
def compare(asked: Asked, instruction: str, *, before: Number = None, after: Number = None) -> ComparisonPage:
    """What changed between two revisions: the last approved one and the latest, unless told."""
    history = desk_shelf.history(asked.archive, asked.visitor, instruction)
    if not history:
        raise NotThere("there is no revision of this instruction yet", resource=instruction)
    new = after or history[-1].number
    earlier = [line for line in history if line.number < new]
    approved = [line.number for line in earlier if line.approved]
    old = before or (approved or [line.number for line in earlier] or [new])[-1]
    found = desk_shelf.compare_revisions(asked.archive, asked.visitor, instruction, before=old, after=new)
    names = names_of(asked.archive, (line.by for line in history))
    words = {line.number: _words(line, names[line.by], asked.visitor.zone) for line in history}
    opened = desk_shelf.open_instruction(asked.archive, asked.visitor, instruction, revision=new)
    address = asked.at(f"/instructions/{instruction}")
    return ComparisonPage(
        title=f"{device_name(opened)}: what changed",
        address=f"{address}/compare",
        instruction=address,
        before=old,
        after=new,
        before_words=words.get(old, ""),
        after_words=words.get(new, ""),
        choices=tuple(Option(str(number), said) for number, said in words.items()),
        stages=tuple(
            ChangesOfStage(stage, tuple(_shown(change) for change in group))
            for stage, group in itertools.groupby(found.changes, key=_stage)
        ),
        count=len(found.changes),
    )


def _words(line: RevisionLine, by: str, zone: str) -> str:
    approved = " · approved" if line.approved else ""
    return f"Revision {line.number} · {shown_moment(line.at, zone)} · {by}{approved}"


def _stage(change: Change) -> str:
    if change.stage is None:
        return "What the maker states" if change.what == "statement" else "Device"
    return stage_words(change.stage)


def _shown(change: Change) -> ChangeShown:
    return ChangeShown(
        kind=_KINDS[change.kind],
        what=change.what.rstrip(":"),
        before=change.before,
        after=change.after,
        sentence=change.sentence,
        step_before=change.step_before or "",
        step_after=change.step_after or "",
    )
