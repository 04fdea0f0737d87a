"""A department's own notes and photos beside the steps of a lesson, kept while the step stays as it was.

A note is written for a step of one revision. In a later one it stands beside the step that is the same; where
that step was changed, it says so and asks to be looked at again.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sinkside.desk import photos, shelf
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.keeping import keep_next
from sinkside.desk.lesson_note_documents import (
    KIND,
    LONGEST,
    LessonNotes,
    SeenNotes,
    StepNote,
    kept_notes,
    notes_of,
)
from sinkside.desk.lessons import EDIT, READ, approved_ground
from sinkside.desk.parsing_child import run_child
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import Upload, check_upload
from sinkside.errors import BadInput, Conflict, NotThere


def seen_notes(archive: Archive, who: Visitor, instruction: str) -> SeenNotes:
    """What is noted beside the steps of the revision in force.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
        NotForTheFloor: while nobody approved any revision.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        shown = approved_ground(unit, who, instruction).shown
        return notes_of(unit, instruction, shown.instruction, shown.revision.number)


@dataclass(frozen=True)
class NoteAt:
    """Beside which step of which instruction a note stands, and the notes' revision the person had."""

    instruction: str
    step: str
    base: int


def put_words(archive: Archive, who: Visitor, at: NoteAt, text: str, *, now: datetime) -> None:
    """Note words beside a step of the revision in force; the photo beside them stays, looked at again too.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction or step.
        Conflict: if somebody changed the notes meanwhile.
        BadInput: if nothing was written and there is no photo, or it is too long.
    """
    said = " ".join(text.split())
    if len(said) > LONGEST:
        raise BadInput(f"{len(said)} signs; expected at most {LONGEST}", resource="text")
    with archive.unit() as unit:
        _put(unit, who, at, now, lambda photo, _: (said, photo))


def put_photo(archive: Archive, who: Visitor, at: NoteAt, upload: Upload, *, now: datetime) -> None:
    """Put a photo beside a step; the words beside it stay.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction or step.
        Conflict: if somebody changed the notes meanwhile.
        UnreadableFile: if it is no photo that can be kept.
    """
    require(who, EDIT)
    with archive.unit(writes=False) as unit:
        approved_ground(unit, who, at.instruction)
    check_upload(upload, most_bytes=photos.LARGEST_BYTES, endings=photos.ENDINGS)
    made: dict[str, Any] = run_child("photo", [(upload.plain_name, upload.data)], limits=photos.LIMITS)
    jpeg = base64.b64decode(made["jpeg"])
    with archive.unit() as unit:
        # The name that the file came with may tell who took it, and where; it is not kept.
        digest = unit.files.put(jpeg, media_type="image/jpeg", name="photo.jpg").digest
        _put(unit, who, at, now, lambda _, words: (words, digest))


def take_away(archive: Archive, who: Visitor, at: NoteAt, *, now: datetime) -> None:
    """Let a note go, words and photo.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such note.
        Conflict: if somebody changed the notes meanwhile.
    """
    require(who, EDIT)
    with archive.unit() as unit:
        kept, shown = _opened(unit, who, at)
        gone = shown.by_step.get(at.step)
        if gone is None:
            raise NotThere("there is no note beside this step", resource=at.step)
        left = tuple(one for one in kept.notes if one != gone.note)
        _keep(unit, who, at, left, "lesson-note-taken-away", now)


def note_photo(archive: Archive, who: Visitor, instruction: str, digest: str) -> bytes:
    """A photo beside a step, as JPEG.

    Raises:
        NotAllowed: without the right.
        NotThere: if no note here has it.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        shelf.row_of(unit, who, instruction)
        kept, _ = kept_notes(unit, instruction)
        if not digest or digest not in {one.photo for one in kept.notes}:
            raise NotThere("there is no such photo", resource=digest)
        return unit.files.read(digest)


def _put(
    unit: Unit, who: Visitor, at: NoteAt, now: datetime, made: Callable[[str, str], tuple[str, str]]
) -> None:
    """Keep the note beside a step that is made of the photo and the words that stand there."""
    require(who, EDIT)
    kept, shown = _opened(unit, who, at)
    ground = approved_ground(unit, who, at.instruction).shown
    if at.step not in {step.id for step in ground.instruction.steps}:
        raise NotThere("there is no such step", resource=at.step)
    before = shown.by_step.get(at.step)
    old = before.note if before else None
    text, photo = made(old.photo if old else "", old.text if old else "")
    if not text and not photo:
        raise BadInput("nothing was written; write a sentence, or choose a photo", resource="text")
    note = StepNote(
        step=at.step, revision=ground.revision.number, text=text, photo=photo, by=who.person, at=now
    )
    others = tuple(one for one in kept.notes if one != old)
    _keep(unit, who, at, (*others, note), "lesson-note-put", now)


def _opened(unit: Unit, who: Visitor, at: NoteAt) -> tuple[LessonNotes, SeenNotes]:
    shown = approved_ground(unit, who, at.instruction).shown
    seen = notes_of(unit, at.instruction, shown.instruction, shown.revision.number)
    if seen.number != at.base:
        raise Conflict("somebody else changed the notes meanwhile; look at them first", resource=at.step)
    return kept_notes(unit, at.instruction)[0], seen


def _keep(unit: Unit, who: Visitor, at: NoteAt, notes: Iterable[StepNote], kind: str, now: datetime) -> None:
    kept = keep_next(unit, KIND, at.instruction, LessonNotes(notes=tuple(notes)), by=who.person, now=now)
    data = {"revision": kept.number, "digest": kept.digest, "step": at.step}
    record(unit, who, kind, shelf.subject_of(at.instruction), now=now, data=data)
