"""The department's own photo of a device: letters listed first, placed by form, by mouse or by keyboard."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query
from pydantic import Field

from sinkside.aids.lettered_photo import lettered_photo_svg
from sinkside.desk import photos
from sinkside.desk.instruction_view import device_name
from sinkside.desk.photo_documents import Shown
from sinkside.desk.photos import PointFields, SeenPhoto
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Done, Form, Option, Sending, Upload
from sinkside.web.screens.instructions.shelf import READ, screen

EDIT: Final = photos.EDIT
PHOTO: Final = f"{DEPARTMENT}/instructions/{{instruction}}/photo"

Letter = Annotated[str, Query(max_length=1)]

_NOTHING: Final = Option("", "nothing of its text")


@dataclass(frozen=True)
class LetterShown:
    """A lettered point of the list: what is there, what it is of, where in per cent, and where it is changed.

    `gone` where the text no longer has what it is of.
    """

    letter: str
    what: str
    of: str
    place: str
    gone: bool
    address: str


@dataclass(frozen=True)
class PhotoPage:
    """The photo of a device with its letters.

    Attributes:
        title: the heading.
        address: of this page.
        instruction: the address of the instruction.
        revision: of the photo, which forms carry; 0 where there is none.
        svg: the photo with its letters; empty where there is none.
        letters: its points, in the order of their letters.
        to_look_at: whether the letters were placed on an earlier photo.
        shown: whether drawing or photo stands beside a step.
        shown_options: both of them.
        things: what a point may be of.
        form: the fields of the open form.
        accept: which files are taken.
        may_edit: whether this person may change anything here.
    """

    title: str
    address: str
    instruction: str
    revision: int
    svg: str
    letters: tuple[LetterShown, ...]
    to_look_at: bool
    shown: str
    shown_options: tuple[Option, ...]
    things: tuple[Option, ...]
    form: PointFields
    accept: str
    may_edit: bool


class OnPhoto(Form):
    """The revision of the photo that the person had before them."""

    on_revision: int = Field(ge=0, le=1_000_000)


class PointForm(OnPhoto):
    """A point: its letter, empty for a new one; what is there; what it is of; where, in per cent."""

    letter: str = Field("", max_length=1)
    what: str = Field("", max_length=120)
    of: str = Field("", max_length=200)
    x: str = Field(max_length=10)
    y: str = Field(max_length=10)


class StrikeLetterForm(OnPhoto):
    """Which letter is taken off."""

    letter: str = Field(max_length=1)


class ShownForm(OnPhoto):
    """What stands beside the steps."""

    shown: Shown


@screen.page(PHOTO, right=READ, template="instruction_photo.html")
def photo(asked: Asked, instruction: str, *, point: Letter = "") -> PhotoPage:
    """The photo of a device with its letters, and the form of one of them or of a new one."""
    seen = photos.see_photo(asked.archive, asked.visitor, instruction)
    address = asked.at(f"/instructions/{seen.opened.row.id}")
    kept = seen.photo
    return PhotoPage(
        title=f"Photo with letters: {device_name(seen.opened)}",
        address=f"{address}/photo",
        instruction=address,
        revision=seen.number,
        svg=_svg(asked, seen, f"{address}/photo", point),
        letters=tuple(
            LetterShown(
                letter=one.point.letter,
                what=one.point.what,
                of=one.of_name,
                place=f"{_percent(one.point.x)} % from the left, {_percent(one.point.y)} % from the top",
                gone=one.gone,
                address=f"{address}/photo?point={one.point.letter}#point-form",
            )
            for one in seen.points
        ),
        to_look_at=bool(kept and kept.to_look_at),
        shown=kept.shown if kept else "drawing",
        shown_options=(Option("drawing", "The drawing"), Option("photo", "This photo")),
        things=(
            _NOTHING,
            *(
                Option(value, f"{value.partition(':')[0].capitalize()}: {name}")
                for value, name in seen.things
            ),
        ),
        form=_fields(seen, point),
        accept=",".join(sorted(photos.ENDINGS)),
        may_edit=asked.visitor.may(EDIT),
    )


def _svg(asked: Asked, seen: SeenPhoto, address: str, lit: str) -> str:
    found = photos.lettered_photo(asked.archive, seen.opened, with_picture=False)
    if found is None or seen.photo is None:
        return ""
    return lettered_photo_svg(found, f"{address}/{seen.photo.digest}", key="photo", lit=lit)


def _fields(seen: SeenPhoto, letter: str) -> PointFields:
    """The point that the form is about; a new one in the middle where none is chosen."""
    known = next((one.point for one in seen.points if one.point.letter == letter), None)
    if known is None:
        return PointFields("", "", "50", "50")
    return PointFields(known.what, known.of, _percent(known.x), _percent(known.y), known.letter)


def _percent(share: float) -> str:
    return f"{round(100.0 * share, 1):g}"


@screen.file(f"{PHOTO}/{{digest}}", right=READ)
def photo_picture(asked: Asked, instruction: str, digest: str) -> Sending:
    """The photo itself, without letters."""
    return Sending(photos.photo_file(asked.archive, asked.visitor, instruction, digest=digest), "image/jpeg")


def _done(asked: Asked, instruction: str, said: str) -> Done:
    return Done(go=asked.at(f"/instructions/{instruction}/photo"), said=f"{said}, by {asked.someone.name}.")


@screen.act(PHOTO, right=EDIT, form=OnPhoto, page=photo, uploads="photo")
def put_photo(asked: Asked, form: OnPhoto, files: tuple[Upload, ...], instruction: str) -> Done:
    """Keep a photo of the device; letters on an earlier one stay, to be looked at again."""
    photos.put_photo(
        asked.archive,
        asked.visitor,
        instruction,
        files[0].handed_in(),
        base=form.on_revision,
        now=asked.now,
    )
    return _done(asked, instruction, "The photo is kept")


@screen.act(f"{PHOTO}/points", right=EDIT, form=PointForm, page=photo)
def place_letter(asked: Asked, form: PointForm, instruction: str) -> Done:
    """Place a letter on the photo, or move one."""
    fields = PointFields(form.what, form.of, form.x, form.y, form.letter)
    letter = photos.place_point(
        asked.archive, asked.visitor, instruction, fields, base=form.on_revision, now=asked.now
    )
    return _done(asked, instruction, f"Letter {letter} is placed")


@screen.act(f"{PHOTO}/points/strike", right=EDIT, form=StrikeLetterForm, page=photo)
def strike_letter(asked: Asked, form: StrikeLetterForm, instruction: str) -> Done:
    """Take a letter off the photo."""
    photos.strike_point(
        asked.archive, asked.visitor, instruction, form.letter, base=form.on_revision, now=asked.now
    )
    return _done(asked, instruction, f"Letter {form.letter} is taken off")


@screen.act(f"{PHOTO}/looked", right=EDIT, form=OnPhoto, page=photo)
def look_at_letters(asked: Asked, form: OnPhoto, instruction: str) -> Done:
    """Keep that the letters are right on the new photo."""
    photos.look_at_points(asked.archive, asked.visitor, instruction, base=form.on_revision, now=asked.now)
    return _done(asked, instruction, "The letters were looked at")


@screen.act(f"{PHOTO}/shown", right=EDIT, form=ShownForm, page=photo)
def choose_shown(asked: Asked, form: ShownForm, instruction: str) -> Done:
    """Choose whether drawing or photo stands beside the steps."""
    photos.choose_shown(
        asked.archive, asked.visitor, instruction, form.shown, base=form.on_revision, now=asked.now
    )
    return _done(asked, instruction, f"The {form.shown} is shown beside the steps")


@screen.act(f"{PHOTO}/away", right=EDIT, form=OnPhoto, page=photo)
def take_photo_away(asked: Asked, form: OnPhoto, instruction: str) -> Done:
    """Show the photo no longer."""
    photos.take_away(asked.archive, asked.visitor, instruction, base=form.on_revision, now=asked.now)
    return _done(asked, instruction, "The photo is taken away")
