"""A lesson on a wall: one step at a time in large type, forwards and back by arrow keys or by two links."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Final

from fastapi import Query
from pydantic import Field

from sinkside.desk import lessons
from sinkside.errors import NotForTheFloor
from sinkside.teach.lesson import Lesson
from sinkside.web.asked import Asked
from sinkside.web.screens.teaching.index import READ, screen
from sinkside.web.screens.teaching.lesson import LESSON, Wanted, opened, steps_of, ways_of
from sinkside.web.screens.teaching.steps_shown import StepShown


class OnTheWall(Wanted):
    """The same, and which step of the part, counted from 1."""

    step: int = Field(1, ge=1, le=1_000)

    @property
    def wanted(self) -> Wanted:
        """Which part of which lesson."""
        return Wanted(**{name: getattr(self, name) for name in Wanted.model_fields})


_NOTHING_SAID: Final = OnTheWall()


@dataclass(frozen=True)
class ProjectedPage:
    """One step on a wall.

    Attributes:
        title: the heading.
        device: what the device is called.
        lesson: the same part as a page.
        part_title: the stations of the part.
        place: which step of how many.
        language: the code of the language that it is in.
        direction: which way that is read.
        step: the step.
        previous: the step before, of the part before where this is the first; empty at the very first.
        next: the step after, of the part after where this is the last; empty at the very last.
        is_proof: whether it is looked at although nobody reviewed its words.
    """

    title: str
    device: str
    lesson: str
    part_title: str
    place: str
    language: str
    direction: str
    step: StepShown
    previous: str
    next: str
    is_proof: bool


@screen.page(f"{LESSON}/projected", right=READ, template="lesson_projected.html")
def projected(
    asked: Asked, instruction: str, *, wanted: Annotated[OnTheWall, Query()] = _NOTHING_SAID
) -> ProjectedPage:
    """One step of a lesson, large."""
    shown, language = opened(asked, instruction, wanted.wanted)
    made = shown.lesson
    if shown.refused:
        raise NotForTheFloor(shown.refused, resource=made.device)
    at, part = lessons.part_of(made, wanted.part)
    number = min(wanted.step, len(part.steps))
    ways = ways_of(asked, instruction, wanted.wanted, language)
    places = [(one.id, step) for one in made.parts for step in range(1, len(one.steps) + 1)]
    here = places.index((part.id, number))
    walls = ["", *(ways.to("/projected", part=one, step=step) for one, step in places), ""]
    step = _with_picture(steps_of(asked, shown, part, instruction)[number - 1], made)
    return ProjectedPage(
        title=f"{made.device}: {step.letter}  {step.headline}",
        device=made.device,
        lesson=ways.to(part=part.id),
        part_title=part.title,
        place=f"Part {at + 1} of {len(made.parts)}, step {number} of {len(part.steps)}",
        language=made.language,
        direction=made.direction,
        step=step,
        previous=walls[here],
        next=walls[here + 2],
        is_proof=wanted.proof,
    )


def _with_picture(step: StepShown, lesson: Lesson) -> StepShown:
    """A step with the picture of the state that it goes on in, where a step before it was drawn so."""
    drawn = None
    for one in (one for part in lesson.parts for one in part.steps):
        drawn = one.picture or drawn
        if one.plain.letter == step.letter:
            break
    return replace(step, picture=drawn.svg, picture_words=drawn.words) if drawn else step
