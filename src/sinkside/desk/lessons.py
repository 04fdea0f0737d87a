"""Lessons of the house: shown in the reader's language, gone through part by part, and only what changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk import shelf
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.keeping import read_kept
from sinkside.desk.paper_making import Ground, ground_in
from sinkside.desk.paper_standing import route_digest
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.remembered import Remembered
from sinkside.documents import to_json
from sinkside.errors import BadInput, Conflict, NotForTheFloor, NotThere
from sinkside.instruction import Instruction
from sinkside.language import REFERENCE_LANGUAGE
from sinkside.plain import Habits
from sinkside.plain.reviewing import refuse_unreviewed
from sinkside.records import LearntPart, Row
from sinkside.teach.lesson import CHANGES, Lesson, LessonPart, difference_of, lesson_of

READ: Final = "lesson-read"
EDIT: Final = "lesson-edit"
LEARN: Final = "learn"

#: What Today opens of lessons.
LESSON: Final = "lesson"

#: So many lessons are made once for all who go through them.
_MADE: Final = Remembered[tuple[str, ...], Lesson](most=60)


@dataclass(frozen=True)
class LessonChoice:
    """Which lesson somebody wants.

    Attributes:
        language: in which it is read.
        since: the revision from which only what changed is wanted; 0 for the whole lesson.
        proof: whether it is shown, marked, although nobody reviewed its words.
    """

    language: str = REFERENCE_LANGUAGE
    since: int = 0
    proof: bool = False


@dataclass(frozen=True)
class ShownLesson:
    """A lesson with what it was made from.

    Attributes:
        ground: the approved revision, its route here, who approved it.
        lesson: the lesson; of only what changed where that was wanted.
        refused: why it must not be taught from yet in this language; empty where it may.
        earlier: earlier approved revisions, from which only what changed can be learnt, the latest first.
        learnt: which parts of this lesson the visitor went through, and when.
        known: the latest earlier revision that the visitor had gone through; 0 where there is none.
    """

    ground: Ground
    lesson: Lesson
    refused: str
    earlier: tuple[int, ...]
    learnt: dict[str, datetime]
    known: int

    @property
    def revision(self) -> int:
        """The revision in force."""
        return self.ground.shown.revision.number


def show(archive: Archive, who: Visitor, instruction: str, choice: LessonChoice | None = None) -> ShownLesson:
    """The lesson of the approved revision of an instruction.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here, or no such earlier approved revision.
        NotForTheFloor: while nobody approved any revision, or a template has no translation.
        BadInput: if there are no lessons in the language, or no step changed since.
    """
    require(who, READ)
    wanted = choice or LessonChoice()
    with archive.unit(writes=False) as unit:
        ground = approved_ground(unit, who, instruction)
        kept = unit.learning.of_person(who.department, who.person)
        own = [one for one in kept if one.instruction == instruction]
        lesson = _lesson(unit, ground, wanted.language, wanted.since)
        earlier = _earlier(ground)
    number = ground.shown.revision.number
    learnt = {one.part: one.at for one in own if one.revision == number and _since(one) == wanted.since}
    through = {revision for revision in earlier if who.person in _through(own, revision)}
    refused = "" if wanted.proof else _refused(lesson, ground)
    return ShownLesson(ground, lesson, refused, earlier, learnt, max(through, default=0))


def approved_ground(unit: Unit, who: Visitor, instruction: str) -> Ground:
    """The approved revision of an instruction with its route here.

    Raises:
        NotThere: if there is no such instruction here.
        NotForTheFloor: while nobody approved any revision: nothing else is taught.
    """
    row = shelf.row_of(unit, who, instruction)
    number = int(row.fields.get("approved") or 0)
    if not number:
        raise NotForTheFloor(
            "nobody has approved this instruction; have it approved, then teach it", resource=row.title
        )
    return ground_in(unit, who, shelf.opened(unit, row, number))


def take(
    unit: Unit, who: Visitor, instruction: str, revision: int, part: str, *, now: datetime, since: int = 0
) -> None:
    """Keep that somebody went through a part of a lesson; the first time counts.

    Args:
        unit: where it is kept.
        who: the acting person.
        instruction: of which the lesson is.
        revision: that the person had before them.
        part: of the lesson.
        now: the moment.
        since: for a lesson of only what changed, from which revision.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction, or no such part of its lesson.
        NotForTheFloor: while nobody approved any revision.
        Conflict: if another revision is in force by now.
    """
    require(who, LEARN)
    ground = approved_ground(unit, who, instruction)
    in_force = ground.shown.revision.number
    if revision != in_force:
        raise Conflict(f"revision {in_force} is in force now; look at it first", resource=instruction)
    parts = [one.id for one in _lesson(unit, ground, REFERENCE_LANGUAGE, since).parts]
    if part not in parts:
        known = ", ".join(parts)
        raise NotThere(f"this lesson has no part '{part}'; expected one of {known}", resource=part)
    kept = unit.learning.of_person(who.department, who.person)
    taken = {(one.instruction, one.revision, one.part, _since(one)) for one in kept}
    if (instruction, revision, part, since) in taken:
        return
    fields: dict[str, str | int | float | bool | None] = {"parts": " ".join(parts), "since": since}
    unit.learning.put(LearntPart(who.department, instruction, revision, part, who.person, now, fields))
    data = {"revision": revision, "part": part, "since": since}
    record(unit, who, "lesson-part-learnt", shelf.subject_of(instruction), now=now, data=data)


def learnt_by(unit: Unit, department: str, instruction: str, revision: int) -> dict[str, datetime]:
    """Who went through all of a revision's lesson, or knew an earlier one and went through what changed.

    Person by person the moment of the last part.
    """
    return _through(unit.learning.of_instruction(department, instruction), revision)


def _through(kept: Iterable[LearntPart], revision: int) -> dict[str, datetime]:
    """Person by person since when they know a revision, by what was kept of one instruction's lessons."""
    rows = [one for one in kept if one.revision <= revision]
    known: dict[str, datetime] = {}
    by_lesson: dict[tuple[str, int], list[LearntPart]] = {}
    for one in rows:
        if one.revision == revision:
            by_lesson.setdefault((one.person, _since(one)), []).append(one)
    before: dict[int, dict[str, datetime]] = {}
    for (person, since), parts in by_lesson.items():
        last = max(parts, key=lambda one: one.at)
        if not set(str(last.fields["parts"]).split()) <= {one.part for one in parts}:
            continue
        if since:
            earlier = before.setdefault(since, _through(rows, since) if since < revision else {})
            if person not in earlier:
                continue
        known[person] = min(known.get(person, last.at), last.at)
    return known


def _since(learnt: LearntPart) -> int:
    return int(learnt.fields.get("since") or 0)


def _lesson(unit: Unit, ground: Ground, language: str, since: int) -> Lesson:
    """The lesson of a revision, made once for as long as nothing that it shows changes."""
    shown = ground.shown
    habits = Habits(language=language, glossary=ground.glossary)
    route = route_digest(ground.route) if ground.route else ""
    key = (shown.revision.digest, route, to_json(habits, compact=True), str(since))
    if not since:
        return _MADE.get(
            key,
            lambda: lesson_of(shown.instruction, ground.route, habits, revision=shown.revision.number),
        )
    if since not in _earlier(ground):
        raise NotThere("no such earlier revision was approved", resource=str(since))
    before = read_kept(unit, shelf.KIND, shown.row.id, Instruction, since)
    if before is None:
        raise NotThere("there is no such revision of this instruction", resource=str(since))

    def only_what_changed() -> Lesson:
        numbers = (since, shown.revision.number)
        made = difference_of(before, shown.instruction, ground.route, habits, revisions=numbers)
        if made is None:
            raise BadInput(f"no step changed since revision {since}", resource=str(since))
        return made

    return _MADE.get(key, only_what_changed)


def _earlier(ground: Ground) -> tuple[int, ...]:
    approved = {int(word) for word in shelf.words_in(ground.shown.row, "approvals")}
    return tuple(sorted((one for one in approved if one < ground.shown.revision.number), reverse=True))


def _refused(lesson: Lesson, ground: Ground) -> str:
    """Why nobody may be taught in this language yet."""
    try:
        refuse_unreviewed(lesson.templates, ground.reviewed, resource=lesson.device)
    except NotForTheFloor as refusal:
        return str(refusal)
    return ""


@dataclass(frozen=True)
class DeviceTaught:
    """A device of the index: its row, the revision in force, and how far the visitor is.

    `state` is `learnt`, `begun` or `new`; `changed` where the visitor knows only an earlier revision, which
    `known` names.
    """

    row: Row
    revision: int
    state: str
    known: int = 0
    at: datetime | None = None


def devices(
    archive: Archive, who: Visitor, *, text: str | None = None, limit: int = 100, offset: int = 0
) -> tuple[list[DeviceTaught], bool]:
    """Devices with an approved instruction, what is still to be learnt first; and whether more follow.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    states = ("approved", "ready", "in-work")
    with archive.unit(writes=False) as unit:
        rows = unit.rows.all(
            shelf.KIND, [who.department], states=states, text=text, limit=limit + 1, offset=offset
        )
        kept = unit.learning.of_person(who.department, who.person)
    by_device: dict[str, list[LearntPart]] = {}
    for one in kept:
        by_device.setdefault(one.instruction, []).append(one)
    taught = [
        _taught(row, who, by_device.get(row.id, [])) for row in rows[:limit] if row.fields.get("approved")
    ]
    order = {"changed": 0, "begun": 1, "new": 2, "learnt": 3}
    taught.sort(key=lambda one: (order[one.state], one.row.title.casefold()))
    return taught, len(rows) > limit


def _taught(row: Row, who: Visitor, own: list[LearntPart]) -> DeviceTaught:
    number = int(row.fields.get("approved") or 0)
    now = _through(own, number).get(who.person)
    if now is not None:
        return DeviceTaught(row, number, "learnt", number, now)
    earlier = sorted({one.revision for one in own if one.revision < number}, reverse=True)
    known = next((one for one in earlier if who.person in _through(own, one)), 0)
    if known:
        return DeviceTaught(row, number, "changed", known)
    is_begun = any(one.revision == number for one in own)
    return DeviceTaught(row, number, "begun" if is_begun else "new")


def changed_since_learnt(unit: Unit, who: Visitor) -> list[DeviceTaught]:
    """Devices of which the visitor knows only an earlier revision: what changed is still to be learnt."""
    if not who.may(LEARN):
        return []
    by_device: dict[str, list[LearntPart]] = {}
    for one in unit.learning.of_person(who.department, who.person):
        by_device.setdefault(one.instruction, []).append(one)
    rows = [unit.rows.get(shelf.KIND, instruction) for instruction in by_device]
    found = [_taught(row, who, by_device[row.id]) for row in rows if row and row.fields.get("approved")]
    return [one for one in found if one.state == "changed"]


def part_of(lesson: Lesson, part: str) -> tuple[int, LessonPart]:
    """Which part of a lesson is meant, and where it stands; the first unless named.

    Raises:
        NotThere: if there is no such part.
    """
    for at, one in enumerate(lesson.parts):
        if part in {"", one.id}:
            return at, one
    raise NotThere("this lesson has no such part", resource=part or CHANGES)
