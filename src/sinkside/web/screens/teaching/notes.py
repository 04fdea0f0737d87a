"""A note beside a step of a lesson: a few words and a photo of the department's own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pydantic import Field

from sinkside.desk import lesson_notes, lessons, photos
from sinkside.desk.lesson_note_documents import LONGEST
from sinkside.desk.lesson_notes import NoteAt
from sinkside.errors import NotThere
from sinkside.plain.names import calm_name
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Sending, Upload
from sinkside.web.screens.teaching.index import READ, screen
from sinkside.web.screens.teaching.lesson import LESSON

EDIT: Final = lessons.EDIT
_NOTE: Final = f"{LESSON}/notes/{{step}}"


@dataclass(frozen=True)
class NotePage:
    """A note beside a step.

    Attributes:
        title: the heading.
        address: of this page.
        lesson: where the lesson is.
        device: what the device is called.
        step: what is done, as the maker says it.
        words: what is noted.
        photo: the photo beside it; empty where there is none.
        to_look_at: whether it was written for an earlier revision, and the step was changed since.
        base: the revision of the notes, which forms carry.
        longest: how many signs a note may have.
        accept: which files are taken as photos.
    """

    title: str
    address: str
    lesson: str
    device: str
    step: str
    words: str
    photo: str
    to_look_at: bool
    base: int
    longest: int
    accept: str


class OnNotes(Form):
    """The revision of the notes that the person had before them."""

    base: int = Field(ge=0, le=1_000_000)


class WordsForm(OnNotes):
    """What is noted."""

    words: str = Field("", max_length=2_000)


@screen.page(_NOTE, right=EDIT, template="lesson_note.html")
def note(asked: Asked, instruction: str, step: str) -> NotePage:
    """The note beside a step, to be written, looked at again or taken away."""
    shown = lessons.show(asked.archive, asked.visitor, instruction)
    text = shown.ground.shown.instruction
    known = next((one for one in text.steps if one.id == step), None)
    if known is None:
        raise NotThere("there is no such step", resource=step)
    seen = lesson_notes.seen_notes(asked.archive, asked.visitor, instruction)
    kept = seen.by_step.get(step)
    address = asked.at(f"/teaching/{instruction}")
    said = known.origin.text or known.action.value
    return NotePage(
        title="Note beside a step",
        address=f"{address}/notes/{step}",
        lesson=address,
        device=calm_name(text.device.name),
        step=said,
        words=kept.note.text if kept else "",
        photo=f"{address}/photos/{kept.note.photo}" if kept and kept.note.photo else "",
        to_look_at=bool(kept and kept.to_look_at),
        base=seen.number,
        longest=LONGEST,
        accept=",".join(sorted(photos.ENDINGS)),
    )


@screen.act(_NOTE, right=EDIT, form=WordsForm, page=note)
def put_words(asked: Asked, form: WordsForm, instruction: str, step: str) -> Done:
    """Note words beside a step."""
    at = NoteAt(instruction, step, form.base)
    lesson_notes.put_words(asked.archive, asked.visitor, at, form.words, now=asked.now)
    return _done(asked, instruction, step, "The note is kept")


@screen.act(f"{_NOTE}/photo", right=EDIT, form=OnNotes, page=note, uploads="photo")
def put_photo(asked: Asked, form: OnNotes, files: tuple[Upload, ...], instruction: str, step: str) -> Done:
    """Put a photo beside a step."""
    at = NoteAt(instruction, step, form.base)
    lesson_notes.put_photo(asked.archive, asked.visitor, at, files[0].handed_in(), now=asked.now)
    return _done(asked, instruction, step, "The photo is kept")


@screen.act(f"{_NOTE}/away", right=EDIT, form=OnNotes, page=note)
def take_away(asked: Asked, form: OnNotes, instruction: str, step: str) -> Done:
    """Take a note away, words and photo."""
    at = NoteAt(instruction, step, form.base)
    lesson_notes.take_away(asked.archive, asked.visitor, at, now=asked.now)
    return _done(asked, instruction, step, "The note is taken away")


@screen.file(f"{LESSON}/photos/{{digest}}", right=READ)
def note_photo(asked: Asked, instruction: str, digest: str) -> Sending:
    """A photo beside a step."""
    return Sending(lesson_notes.note_photo(asked.archive, asked.visitor, instruction, digest), "image/jpeg")


def _done(asked: Asked, instruction: str, step: str, said: str) -> Done:
    return Done(
        go=asked.at(f"/teaching/{instruction}/notes/{step}"), said=f"{said}, by {asked.someone.name}."
    )
