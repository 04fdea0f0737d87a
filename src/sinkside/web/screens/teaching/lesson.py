"""A lesson, one part at a time: each step drawn and explained; gone through in one's own name."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Final

from fastapi import Query
from pydantic import Field

from sinkside.desk import lesson_notes, lessons
from sinkside.desk.lesson_note_documents import SeenNotes
from sinkside.desk.lessons import LessonChoice, ShownLesson
from sinkside.desk.people import names_of
from sinkside.language import REFERENCE_LANGUAGE
from sinkside.plain import LANGUAGES
from sinkside.teach.lesson import LessonPart
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Option
from sinkside.web.screens.teaching.index import READ, screen
from sinkside.web.screens.teaching.steps_shown import StepShown, step_shown
from sinkside.web.screens.teaching.ways import Ways
from sinkside.web.teaching_rooms import OF_A_DEVICE, rooms

LESSON: Final = f"{DEPARTMENT}/teaching/{{instruction}}"


class Wanted(Form):
    """Which part of a lesson, in which language, of only what changed since which revision, as a proof."""

    part: str = Field("", max_length=60)
    language: str = Field("", max_length=10)
    since: int = Field(0, ge=0, le=1_000_000)
    proof: bool = False


_NOTHING_SAID: Final = Wanted()


@dataclass(frozen=True)
class PartLine:
    """A part of the lesson: where it is, its stations, how long it takes, and when the visitor learnt it."""

    address: str
    title: str
    minutes: str
    here: bool
    learnt: str


@dataclass(frozen=True)
class LessonPage:
    """A part of a lesson.

    Attributes:
        title: the heading.
        address: of this lesson.
        teaching: where every device is.
        state: which revision it is made from, and who approved it.
        language: the code of the language that it is in.
        direction: which way that is read.
        languages: in which it can be had, with their addresses.
        parts: of the lesson.
        part: the id of this one.
        part_title: its stations.
        steps: of this part.
        gone: what is no longer done, in a lesson of only what changed.
        whole: where the whole lesson is, from one of only what changed.
        changes: where only what changed since an earlier revision is.
        knows_earlier: whether the visitor knows an earlier revision and has still to learn what changed.
        previous: the part before; empty at the first.
        next: the part after; empty at the last.
        projected: the same for a wall, step by step.
        links: what else there is to teach it with.
        refused: why it must not be taught from yet in this language; empty where it may.
        proof_address: where it is looked at all the same, marked.
        is_proof: whether it is looked at all the same.
        revision: that forms carry.
        since: the revision from which it tells only what changed; 0 for the whole lesson.
        may_learn: whether this person goes through it in their own name.
        learnt: when they went through this part.
    """

    title: str
    address: str
    teaching: str
    state: str
    language: str
    direction: str
    languages: tuple[Option, ...]
    parts: tuple[PartLine, ...]
    part: str
    part_title: str
    steps: tuple[StepShown, ...]
    gone: tuple[str, ...]
    whole: str
    changes: tuple[Option, ...]
    knows_earlier: bool
    previous: str
    next: str
    projected: str
    links: tuple[Option, ...]
    refused: str
    proof_address: str
    is_proof: bool
    revision: int
    since: int
    may_learn: bool
    learnt: str


@screen.page(LESSON, right=READ, template="lesson.html")
def lesson(
    asked: Asked, instruction: str, *, wanted: Annotated[Wanted, Query()] = _NOTHING_SAID
) -> LessonPage:
    """One part of a device's lesson."""
    said = _typed(asked, wanted)
    shown, language = opened(asked, instruction, said)
    made = shown.lesson
    at, part = lessons.part_of(made, said.part)
    ways = ways_of(asked, instruction, said, language)
    ids = ["", *(one.id for one in made.parts), ""]
    return LessonPage(
        title=made.device,
        address=ways.address,
        teaching=asked.at("/teaching"),
        state=_state(shown),
        language=made.language,
        direction=made.direction,
        languages=_languages(ways, part),
        parts=_parts(asked, shown, part, ways),
        part=part.id,
        part_title=part.title,
        steps=() if shown.refused else steps_of(asked, shown, part, instruction),
        gone=made.gone,
        whole=ways.to(since="") if said.since else "",
        changes=_changes(shown, said, ways),
        knows_earlier=bool(shown.known) and not said.since and len(shown.learnt) < len(made.parts),
        previous=ways.to(part=ids[at]) if ids[at] else "",
        next=ways.to(part=ids[at + 2]) if ids[at + 2] else "",
        projected=ways.to("/projected", part=part.id),
        links=rooms(asked, OF_A_DEVICE, instruction),
        refused=shown.refused,
        proof_address=ways.to(part=part.id, proof="true") if shown.refused else "",
        is_proof=said.proof,
        revision=shown.revision,
        since=said.since,
        may_learn=asked.visitor.may(lessons.LEARN) and not shown.refused and not said.proof,
        learnt=_learnt(asked, shown, part),
    )


def ways_of(asked: Asked, instruction: str, wanted: Wanted, language: str) -> Ways:
    """Addresses of a lesson, in the same language and of the same changes."""
    proof = "true" if wanted.proof else ""
    said = {"language": language, "since": wanted.since or "", "proof": proof}
    return Ways(asked.at(f"/teaching/{instruction}"), said)


def _languages(ways: Ways, part: LessonPart) -> tuple[Option, ...]:
    return tuple(
        Option(ways.to(language=code, part=part.id, proof=""), name) for code, name in LANGUAGES.items()
    )


def _parts(asked: Asked, shown: ShownLesson, here: LessonPart, ways: Ways) -> tuple[PartLine, ...]:
    return tuple(
        PartLine(
            address=ways.to(part=one.id),
            title=one.title,
            minutes=f"{max(1, round(one.minutes))} min",
            here=one.id == here.id,
            learnt=_learnt(asked, shown, one),
        )
        for one in shown.lesson.parts
    )


def _changes(shown: ShownLesson, wanted: Wanted, ways: Ways) -> tuple[Option, ...]:
    """Where only what changed is: since what the visitor knows, else since the last that was in force."""
    since = [shown.known] if shown.known else shown.earlier[:1]
    return tuple(
        Option(ways.to(since=one), f"Only what changed since revision {one}")
        for one in since
        if one != wanted.since
    )


def opened(asked: Asked, instruction: str, wanted: Wanted) -> tuple[ShownLesson, str]:
    """The lesson in the wanted language; unless told in the reader's own, where its words are reviewed."""
    own = asked.someone.language
    language = wanted.language or (own if own in LANGUAGES else REFERENCE_LANGUAGE)
    choice = LessonChoice(language=language, since=wanted.since, proof=wanted.proof)
    shown = lessons.show(asked.archive, asked.visitor, instruction, choice)
    if shown.refused and not wanted.language:
        choice = replace(choice, language=REFERENCE_LANGUAGE)
        return lessons.show(asked.archive, asked.visitor, instruction, choice), REFERENCE_LANGUAGE
    return shown, language


def steps_of(asked: Asked, shown: ShownLesson, part: LessonPart, instruction: str) -> tuple[StepShown, ...]:
    """The steps of a part, each with what was noted beside it."""
    notes: SeenNotes = lesson_notes.seen_notes(asked.archive, asked.visitor, instruction)
    names = names_of(asked.archive, {one.note.by for one in notes.by_step.values()})
    address = asked.at(f"/teaching/{instruction}")
    return tuple(step_shown(asked, shown.lesson, one, notes, names, at=address) for one in part.steps)


class LearntForm(Form):
    """The part that somebody went through, of which revision, and of only what changed since which."""

    part: str = Field("", max_length=60)
    revision: int = Field(0, ge=0, le=1_000_000)
    since: int = Field(0, ge=0, le=1_000_000)
    language: str = Field("", max_length=10)


@screen.act(f"{LESSON}/learnt", right=lessons.LEARN, form=LearntForm, page=lesson)
def learnt(asked: Asked, form: LearntForm, instruction: str) -> Done:
    """Keep that one went through a part, and go on to the next that one has not."""
    with asked.archive.unit() as unit:
        lessons.take(
            unit, asked.visitor, instruction, form.revision, form.part, now=asked.now, since=form.since
        )
    choice = LessonChoice(since=form.since)
    shown = lessons.show(asked.archive, asked.visitor, instruction, choice)
    left = [one.id for one in shown.lesson.parts if one.id not in shown.learnt]
    if not left:
        said = f"You have gone through the lesson of {shown.lesson.device}, revision {shown.revision}."
        return Done(go=asked.at("/teaching"), said=said)
    ways = ways_of(asked, instruction, Wanted(since=form.since), form.language)
    said = f"Noted. {len(left)} of {len(shown.lesson.parts)} parts are left."
    return Done(go=ways.to(part=left[0]), said=said)


def _typed(asked: Asked, wanted: Wanted) -> Wanted:
    """Which part: after a refused act the one that its form was of."""
    typed = {name: texts[0] for name, texts in asked.problem.typed.items() if texts}
    known = {name: typed[name] for name in ("part", "language") if typed.get(name)}
    return wanted.model_copy(update=known)


def _state(shown: ShownLesson) -> str:
    approval = shown.ground.approval
    by = f", approved by {approval.by} on {approval.on}" if approval else ""
    changed = f", only what changed since revision {shown.lesson.since}" if shown.lesson.since else ""
    return f"Revision {shown.revision}{by}{changed}"


def _learnt(asked: Asked, shown: ShownLesson, part: LessonPart) -> str:
    at = shown.learnt.get(part.id)
    return shown_moment(at, asked.visitor.zone) if at else ""
