"""A department's own photo of a device: kept beside its instruction, lettered, and shown beside its steps."""

from __future__ import annotations

import base64
import string
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sinkside.aids.lettered_photo import LetteredPhoto, PhotoPoint
from sinkside.aids.words import thing_name
from sinkside.desk import shelf
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.instruction_view import device_name, instruction_view
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.parsing_child import ChildLimits, run_child
from sinkside.desk.photo_documents import DevicePhoto, Point, Shown
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.shelf import OpenInstruction
from sinkside.desk.uploads import Upload, check_upload
from sinkside.documents import validate
from sinkside.errors import BadDocument, BadInput, Conflict, Fault, NotThere
from sinkside.instruction import Step

KIND: Final = "device-photo"
EDIT: Final = "instruction-edit"
READ: Final = "instruction-read"
ENDINGS: Final = frozenset({".jpeg", ".jpg", ".png", ".webp"})
LARGEST_BYTES: Final = 20_000_000

LIMITS: Final = ChildLimits(memory_bytes=1_500_000_000, processor_s=20, clock_s=30.0)
_WHOLE: Final = 100.0


@dataclass(frozen=True)
class PointFields:
    """A point as a form has it: where it is in per cent from the left and from the top, as typed.

    `letter` is empty for a new one, which gets the next.
    """

    what: str
    of: str
    x: str
    y: str
    letter: str = ""


@dataclass(frozen=True)
class PointShown:
    """A point with the name of what it is of; `gone` where the text has no such thing any longer."""

    point: Point
    of_name: str
    gone: bool


@dataclass(frozen=True)
class SeenPhoto:
    """The photo of a device, as its instruction stands now.

    Attributes:
        opened: the instruction.
        photo: the photo with its points; none where nobody put one there.
        number: the revision of it; 0 where there is none.
        points: the points with the names of what they are of.
        things: what a point may be of: value and name.
    """

    opened: OpenInstruction
    photo: DevicePhoto | None
    number: int
    points: tuple[PointShown, ...]
    things: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class PhotoBeside:
    """The photo beside a step: its digest, the letters that the step is about, and whether to look again."""

    photo: LetteredPhoto
    digest: str
    letters: tuple[str, ...]
    to_look_at: bool


def see_photo(archive: Archive, who: Visitor, instruction: str) -> SeenPhoto:
    """The photo of a device with its points.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
    """
    require(who, READ)
    opened = shelf.open_instruction(archive, who, instruction)
    with archive.unit(writes=False) as unit:
        photo, number = _kept(unit, opened.row.id)
    things = dict(_things(opened))
    points = tuple(
        PointShown(one, things.get(one.of, ""), bool(one.of) and one.of not in things)
        for one in (photo.points if photo else ())
    )
    return SeenPhoto(opened, photo, number, points, tuple(things.items()))


def lettered_photo(archive: Archive, opened: OpenInstruction, *, with_picture: bool) -> LetteredPhoto | None:
    """The photo of a device as plain values, for pages and paper; none where there is none.

    Args:
        archive: where it is kept.
        opened: the instruction, as it was opened for this person.
        with_picture: whether the JPEG itself is read too, as paper needs it.

    Raises:
        UnreadableFile: if the picture is missing or was altered.
    """
    with archive.unit(writes=False) as unit:
        photo, _ = _kept(unit, opened.row.id)
        if photo is None or not photo.digest:
            return None
        jpeg = unit.files.read(photo.digest) if with_picture else b""
    return _lettered(opened, photo, jpeg)


def photo_beside(archive: Archive, opened: OpenInstruction, step: Step) -> PhotoBeside | None:
    """The photo that stands beside a step; none where the drawing does.

    Args:
        archive: where it is kept.
        opened: the instruction, as it was opened for this person.
        step: the chosen step.
    """
    with archive.unit(writes=False) as unit:
        kept, _ = _kept(unit, opened.row.id)
    if kept is None or not kept.digest or kept.shown != "photo":
        return None
    about = {f"step:{step.id}", *(f"{kind}:{thing}" for thing in step.on for kind in ("part", "feature"))}
    letters = tuple(one.letter for one in kept.points if one.of in about)
    return PhotoBeside(_lettered(opened, kept), kept.digest, letters, kept.to_look_at)


def photo_file(archive: Archive, who: Visitor, instruction: str, *, digest: str) -> bytes:
    """The picture itself, as JPEG.

    Raises:
        NotAllowed: without the right.
        NotThere: if that is not the photo of this device.
    """
    require(who, READ)
    opened = shelf.open_instruction(archive, who, instruction)
    with archive.unit(writes=False) as unit:
        photo, _ = _kept(unit, opened.row.id)
        if photo is None or not digest or photo.digest != digest:
            raise NotThere("there is no such photo", resource=digest)
        return unit.files.read(digest)


def put_photo(
    archive: Archive, who: Visitor, instruction: str, upload: Upload, *, base: int, now: datetime
) -> int:
    """Keep a photo of a device; points on an earlier one stay, to be looked at again.

    Args:
        archive: where it is kept.
        who: who says so.
        instruction: the device's instruction.
        upload: a JPEG, PNG or WebP file.
        base: the revision that the person had before them; 0 where there was none.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
        Conflict: if somebody changed it meanwhile.
        UnreadableFile: if it is no photo that can be kept.
    """
    require(who, EDIT)
    opened = shelf.open_instruction(archive, who, instruction)
    check_upload(upload, most_bytes=LARGEST_BYTES, endings=ENDINGS)
    made: dict[str, Any] = run_child("photo", [(upload.plain_name, upload.data)], limits=LIMITS)
    jpeg = base64.b64decode(made["jpeg"])
    with archive.unit() as unit:
        before, number = _kept(unit, opened.row.id)
        _refuse_late(number, base, instruction)
        # The name that the file came with may tell who took it, and where; it is not kept.
        file = unit.files.put(jpeg, media_type="image/jpeg", name="photo.jpg")
        photo = DevicePhoto(
            digest=file.digest,
            width=made["width"],
            height=made["height"],
            points=before.points if before else (),
            to_look_at=bool(before and before.points),
            shown=before.shown if before else "photo",
        )
        return _keep(unit, who, opened, photo, "device-photo-put", now)


def place_point(
    archive: Archive, who: Visitor, instruction: str, fields: PointFields, *, base: int, now: datetime
) -> str:
    """Place a point on the photo, or move one, and say its letter.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction or letter here.
        Conflict: if somebody changed it meanwhile.
        BadInput: if there is no photo, or no letter is left.
        BadDocument: with every fault by field.
    """
    placed = ""

    def change(photo: DevicePhoto, things: dict[str, str]) -> DevicePhoto:
        nonlocal placed
        placed = fields.letter or _next_letter(photo)
        if fields.letter and fields.letter not in {one.letter for one in photo.points}:
            raise NotThere("there is no such letter on this photo", resource=fields.letter)
        point = _point(fields, placed, things)
        others = [one for one in photo.points if one.letter != placed]
        points = tuple(sorted([*others, point], key=lambda one: one.letter))
        return photo.model_copy(update={"points": points})

    _change(archive, who, instruction, change, base=base, now=now, kind="device-photo-lettered")
    return placed


def strike_point(
    archive: Archive, who: Visitor, instruction: str, letter: str, *, base: int, now: datetime
) -> None:
    """Take a letter off the photo; the others keep theirs.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction or letter here.
        Conflict: if somebody changed it meanwhile.
    """

    def change(photo: DevicePhoto, _: dict[str, str]) -> DevicePhoto:
        left = tuple(one for one in photo.points if one.letter != letter)
        if len(left) == len(photo.points):
            raise NotThere("there is no such letter on this photo", resource=letter)
        return photo.model_copy(update={"points": left})

    _change(archive, who, instruction, change, base=base, now=now, kind="device-photo-lettered")


def look_at_points(archive: Archive, who: Visitor, instruction: str, *, base: int, now: datetime) -> None:
    """Keep that somebody looked at the letters on a new photo and finds them right.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
        Conflict: if somebody changed it meanwhile.
    """

    def change(photo: DevicePhoto, _: dict[str, str]) -> DevicePhoto:
        return photo.model_copy(update={"to_look_at": False})

    _change(archive, who, instruction, change, base=base, now=now, kind="device-photo-looked-at")


def choose_shown(
    archive: Archive, who: Visitor, instruction: str, shown: Shown, *, base: int, now: datetime
) -> None:
    """Keep whether drawing or photo stands beside the steps of a device.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
        Conflict: if somebody changed it meanwhile.
    """

    def change(photo: DevicePhoto, _: dict[str, str]) -> DevicePhoto:
        return photo.model_copy(update={"shown": shown})

    _change(archive, who, instruction, change, base=base, now=now, kind="device-photo-chosen")


def take_away(archive: Archive, who: Visitor, instruction: str, *, base: int, now: datetime) -> None:
    """Show a photo no longer, and let go of its letters.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
        Conflict: if somebody changed it meanwhile.
    """

    def change(_: DevicePhoto, __: dict[str, str]) -> DevicePhoto:
        return DevicePhoto(digest="", width=0, height=0)

    _change(archive, who, instruction, change, base=base, now=now, kind="device-photo-taken-away")


Changing = Callable[[DevicePhoto, dict[str, str]], DevicePhoto]


def _change(
    archive: Archive,
    who: Visitor,
    instruction: str,
    change: Changing,
    *,
    base: int,
    now: datetime,
    kind: str,
) -> None:
    require(who, EDIT)
    opened = shelf.open_instruction(archive, who, instruction)
    with archive.unit() as unit:
        photo, number = _kept(unit, opened.row.id)
        _refuse_late(number, base, instruction)
        if photo is None or not photo.digest:
            raise BadInput("there is no photo of this device yet; put one there first", resource=instruction)
        changed = change(photo, dict(_things(opened)))
        if changed == photo:
            raise BadInput("nothing was changed; change a field first", resource=instruction)
        _keep(unit, who, opened, changed, kind, now)


def _keep(
    unit: Unit, who: Visitor, opened: OpenInstruction, photo: DevicePhoto, kind: str, now: datetime
) -> int:
    kept = keep_next(unit, KIND, opened.row.id, photo, by=who.person, now=now)
    data = {"revision": kept.number, "digest": kept.digest, "letters": len(photo.points)}
    record(unit, who, kind, shelf.subject_of(opened.row.id), now=now, data=data)
    return kept.number


def _lettered(opened: OpenInstruction, photo: DevicePhoto, jpeg: bytes = b"") -> LetteredPhoto:
    points = tuple(PhotoPoint(one.letter, one.what, one.x, one.y) for one in photo.points)
    return LetteredPhoto(device_name(opened), photo.width, photo.height, points, jpeg)


def _kept(unit: Unit, instruction: str) -> tuple[DevicePhoto | None, int]:
    revision = unit.documents.get(KIND, instruction)
    return read_kept(unit, KIND, instruction, DevicePhoto), revision.number if revision else 0


def _refuse_late(number: int, base: int, instruction: str) -> None:
    if number != base:
        raise Conflict("somebody else changed the photo meanwhile; look at it first", resource=instruction)


def _next_letter(photo: DevicePhoto) -> str:
    """The letter after the last; a gap is filled only once the alphabet is through."""
    used = {one.letter for one in photo.points}
    last = max(used, default="")
    free = [letter for letter in string.ascii_uppercase if letter not in used]
    if not free:
        raise BadInput("no letter is left; strike one first", resource="letter")
    return next((letter for letter in free if letter > last), free[0])


def _point(fields: PointFields, letter: str, things: dict[str, str]) -> Point:
    """A point out of what was typed.

    Raises:
        BadDocument: with every fault by field.
    """
    faults: list[Fault] = []
    place = {name: _share(name, getattr(fields, name), faults) for name in ("x", "y")}
    if fields.of and fields.of not in things:
        faults.append(Fault("of", f"'{fields.of}' is nothing of this text; choose one of the list"))
    what = fields.what.strip() or things.get(fields.of, "")
    if not what:
        faults.append(Fault("what", "missing; say what is there, or choose what it is of"))
    if faults:
        raise BadDocument(faults)
    return validate(Point, {"letter": letter, "what": what, "of": fields.of, **place}, resource="")


def _share(name: str, text: str, faults: list[Fault]) -> float:
    """Per cent as typed, from 0 to 1."""
    try:
        percent = float(text.strip().removesuffix("%").replace(",", "."))
    except ValueError:
        percent = -1.0
    if not 0.0 <= percent <= _WHOLE:
        faults.append(Fault(name, f"'{text.strip()}'; expected a number from 0 to 100"))
        return 0.0
    return round(percent / _WHOLE, 4)


def _things(opened: OpenInstruction) -> Iterator[tuple[str, str]]:
    """What a point may be of: parts, features and steps, by value and name."""
    instruction = opened.instruction
    for part in instruction.device.parts:
        yield f"part:{part.id}", thing_name(part.id, instruction)
    for feature in instruction.device.features:
        yield f"feature:{feature.id}", thing_name(feature.id, instruction)
    for stage in instruction_view(opened).stages:
        for step in stage.steps:
            yield f"step:{step.id}", step.sentence
