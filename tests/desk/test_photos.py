"""A department's own photo: kept without place and time, turned upright, lettered, and told in the record."""

from __future__ import annotations

import hashlib
import io
import zlib

import pytest
from PIL import Image

from sinkside.desk import photos, record_book, shelf
from sinkside.desk.photo_reading import read_photo
from sinkside.desk.photos import PointFields, SeenPhoto
from sinkside.desk.uploads import Upload
from sinkside.errors import BadDocument, BadInput, Conflict, NotAllowed, NotThere, UnreadableFile
from sinkside.records import Wanted
from support.desk_house import House, drafted
from support.set_house import a_device, a_part

#: Tags of the Exif standard (JEITA CP-3451, from memory): orientation, maker, the directory of the place.
_ORIENTATION, _MAKER, _PLACE = 0x0112, 0x010F, 0x8825
#: Orientation 6: the first row of the stored picture is the right side of the one that was seen.
_TURNED_RIGHT = 6

PUNCH = a_device("Quarl 5 punch", a_part("inner rod"), a_part("handle"))


def _picture(size: tuple[int, int] = (400, 300)) -> Image.Image:
    """A grey picture whose upper left corner is red."""
    made = Image.new("RGB", size, (120, 120, 120))
    made.paste((220, 10, 10), (0, 0, size[0] // 4, size[1] // 4))
    return made


def _file(picture: Image.Image, kind: str = "JPEG", **how: object) -> bytes:
    out = io.BytesIO()
    picture.save(out, format=kind, **how)
    return out.getvalue()


def _upload(data: bytes, name: str = "ward 3, Monday.jpg") -> Upload:
    return Upload(name, "image/jpeg", data)


def _read(data: bytes) -> Image.Image:
    import base64

    made = read_photo(data, resource="photo.jpg")
    kept = Image.open(io.BytesIO(base64.b64decode(made["jpeg"])))
    assert kept.size == (made["width"], made["height"])
    return kept


def _is_red(picture: Image.Image, x: int, y: int) -> bool:
    pixel = picture.getpixel((x, y))
    assert isinstance(pixel, tuple)
    return pixel[0] > 180 and pixel[1] < 60


def test_what_is_kept_is_the_picture_alone_and_upright() -> None:
    """Place, camera and orientation are gone from the file, and the picture is turned as it was seen."""
    tags = Image.Exif()
    tags[_ORIENTATION], tags[_MAKER] = _TURNED_RIGHT, "Camera of Ward 3"
    tags.get_ifd(_PLACE)[1] = "N"
    data = _file(_picture(), exif=tags, comment=b"taken by somebody")
    assert b"Camera of Ward 3" in data
    kept = _read(data)
    assert kept.size == (300, 400)
    # Turned a quarter to the right, the upper left corner is the upper right one.
    assert _is_red(kept, 290, 10)
    assert not _is_red(kept, 10, 10)
    assert not kept.getexif()
    assert not {"exif", "comment", "icc_profile", "xmp"} & kept.info.keys()


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_other_kinds_become_jpeg_on_white(kind: str) -> None:
    """A PNG or WebP becomes a JPEG; where it was transparent it is white; a large one is made smaller."""
    clear = Image.new("RGBA", (3200, 1600), (0, 0, 0, 0))
    clear.paste((220, 10, 10, 255), (0, 0, 800, 400))
    kept = _read(_file(clear, kind))
    assert (kept.format, kept.mode, kept.size) == ("JPEG", "RGB", (1600, 800))
    assert _is_red(kept, 50, 50)
    assert kept.getpixel((1500, 700)) == (255, 255, 255)


def _claims(width: int, height: int) -> bytes:
    """A PNG of few bytes whose head claims to be large (PNG specification, chunk IHDR)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    head = width.to_bytes(4, "big") + height.to_bytes(4, "big") + bytes([8, 2, 0, 0, 0])
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"Dry the device.", "this is no photo; expected a JPEG, PNG or WebP file"),
        (_file(_picture(), "GIF"), "this is no photo"),
        (_file(_picture())[:900], "this photo is broken"),
        (_file(_picture((400, 100))), "400 × 100 points; expected at least 200 each way"),
        (_claims(30_000, 30_000), "this is no photo|at most 60 million"),
        (_claims(9_000, 9_000), "9000 × 9000 points; expected at most 60 million"),
    ],
    ids=["text", "gif", "cut off", "too small", "bomb", "too large"],
)
def test_what_is_no_photo_is_refused_in_one_sentence(data: bytes, sentence: str) -> None:
    """Text, other kinds, broken, tiny and huge files are each told for what they are."""
    with pytest.raises(UnreadableFile, match=sentence):
        read_photo(data, resource="photo.jpg")


@pytest.fixture
def punch(house: House, monkeypatch: pytest.MonkeyPatch) -> str:
    """An instruction of a punch; photos are read without a child, save where a test asks for one."""

    def read(_: str, files: list[tuple[str, bytes]], **__: object) -> object:
        return read_photo(files[0][1], resource=files[0][0])

    monkeypatch.setattr(photos, "run_child", read)
    return drafted(house, "eve", PUNCH)


def _put(house: House, punch: str, *, base: int = 0, data: bytes = b"", by: str = "eve") -> int:
    upload = _upload(data or _file(_picture()))
    return photos.put_photo(house.archive, house.visitor(by), punch, upload, base=base, now=house.now)


def _place(house: House, punch: str, fields: PointFields, *, base: int) -> str:
    return photos.place_point(house.archive, house.visitor("eve"), punch, fields, base=base, now=house.now)


def _seen(house: House, punch: str) -> SeenPhoto:
    return photos.see_photo(house.archive, house.visitor("tom"), punch)


def test_letters_are_placed_moved_and_taken_off(house: House, punch: str) -> None:
    """Each point gets the next letter and keeps it; one that is taken off is not given again meanwhile."""
    _put(house, punch)
    assert _place(house, punch, PointFields("", "part:inner-rod", "25", "50,5 %"), base=1) == "A"
    assert _place(house, punch, PointFields("tip, not to be touched", "", "90", "10"), base=2) == "B"
    assert _place(house, punch, PointFields("where to press", "step:s1", "50", "50"), base=3) == "C"
    assert _place(house, punch, PointFields("rod", "part:inner-rod", "30", "50.5", "A"), base=4) == "A"
    photos.strike_point(house.archive, house.visitor("eve"), punch, "B", base=5, now=house.now)
    assert _place(house, punch, PointFields("", "part:handle", "0", "100"), base=6) == "D"
    seen = _seen(house, punch)
    assert [(one.point.letter, one.point.what, one.of_name) for one in seen.points][:1] == [
        ("A", "rod", "inner rod")
    ]
    assert [one.point.letter for one in seen.points] == ["A", "C", "D"]
    assert (seen.points[0].point.x, seen.points[0].point.y) == (0.3, 0.505)
    assert (seen.points[2].point.x, seen.points[2].point.y) == (0.0, 1.0)
    book = record_book.read_record(house.archive, house.visitor("ada"), Wanted(limit=7)).entries
    told = [one.sentence for one in reversed(book)]
    assert told[0] == "Eve put a photo to Quarl 5 punch."
    assert told[-1] == "Eve changed the letters on the photo of Quarl 5 punch, 3 letters now."


def test_a_new_photo_keeps_the_letters_to_be_looked_at_again(house: House, punch: str) -> None:
    """Replaced, the photo has its letters and says they were placed on another, until somebody looked."""
    _put(house, punch)
    _place(house, punch, PointFields("rod", "", "25", "50"), base=1)
    first = _seen(house, punch).photo
    assert first is not None
    _put(house, punch, base=2, data=_file(_picture((600, 450))))
    second = _seen(house, punch)
    assert second.photo is not None
    assert (second.photo.points, second.photo.to_look_at) == (first.points, True)
    assert (second.photo.width, second.photo.height) == (600, 450)
    photos.look_at_points(house.archive, house.visitor("uma"), punch, base=3, now=house.now)
    looked = _seen(house, punch).photo
    assert looked is not None
    assert not looked.to_look_at
    with pytest.raises(NotThere):
        photos.photo_file(house.archive, house.visitor("tom"), punch, digest=first.digest)
    jpeg = photos.photo_file(house.archive, house.visitor("tom"), punch, digest=looked.digest)
    assert hashlib.sha256(jpeg).hexdigest() == looked.digest
    with house.archive.unit(writes=False) as unit:
        file = unit.files.get(looked.digest)
    assert file is not None
    assert (file.name, file.media_type) == ("photo.jpg", "image/jpeg")


def test_beside_a_step_stands_the_photo_where_that_was_chosen(house: House, punch: str) -> None:
    """A first photo is shown with the letters that the step is about; the drawing where that is chosen."""
    _put(house, punch)
    _place(house, punch, PointFields("rod", "part:inner-rod", "25", "50"), base=1)
    _place(house, punch, PointFields("dry here", "step:s1", "75", "50"), base=2)
    opened = shelf.open_instruction(house.archive, house.visitor("tom"), punch)
    step = opened.instruction.steps[0]
    beside = photos.photo_beside(house.archive, opened, step)
    assert beside is not None
    assert beside.letters == ("B",)
    on_the_rod = photos.photo_beside(house.archive, opened, step.model_copy(update={"on": ("inner-rod",)}))
    assert on_the_rod is not None
    assert on_the_rod.letters == ("A", "B")
    paper = photos.lettered_photo(house.archive, opened, with_picture=True)
    assert paper is not None
    assert [one.letter for one in paper.points] == ["A", "B"]
    assert Image.open(io.BytesIO(paper.jpeg)).size == (paper.width, paper.height)
    eve = house.visitor("eve")
    photos.choose_shown(house.archive, eve, punch, "drawing", base=3, now=house.now)
    assert photos.photo_beside(house.archive, opened, step) is None
    photos.take_away(house.archive, eve, punch, base=4, now=house.now)
    assert photos.lettered_photo(house.archive, opened, with_picture=False) is None
    with pytest.raises(BadInput, match="no photo of this device yet"):
        _place(house, punch, PointFields("rod", "", "1", "1"), base=5)


def test_who_may_not_was_too_late_or_misses_the_photo_changes_nothing(house: House, punch: str) -> None:
    """A technician only looks; an older revision, a wrong kind of file and impossible points are refused."""
    with pytest.raises(NotAllowed):
        _put(house, punch, by="tom")
    _put(house, punch)
    with pytest.raises(Conflict, match="changed the photo meanwhile"):
        _put(house, punch)
    gif = Upload("a.gif", "image/gif", b"GIF89a")
    with pytest.raises(UnreadableFile, match=r"'\.gif' is not read here"):
        photos.put_photo(house.archive, house.visitor("eve"), punch, gif, base=1, now=house.now)
    for fields, faults in (
        (PointFields("", "", "5", "5"), ["what"]),
        (PointFields("rod", "part:none", "101", "here"), ["x", "y", "of"]),
        (PointFields("rod", "", "nan", "-1"), ["x", "y"]),
    ):
        with pytest.raises(BadDocument) as told:
            _place(house, punch, fields, base=1)
        assert [fault.path for fault in told.value.faults] == faults
    with pytest.raises(NotThere):
        _place(house, punch, PointFields("rod", "", "5", "5", "Q"), base=1)
    assert _seen(house, punch).number == 1


def test_a_photo_is_read_in_a_child_of_its_own(house: House) -> None:
    """From upload to kept file through the real child: what is no photo is told, and nothing is kept."""
    punch = drafted(house, "eve", PUNCH)
    with pytest.raises(UnreadableFile, match="this is no photo"):
        _put(house, punch, data=b"Dry the device.")
    assert _put(house, punch) == 1
    assert _seen(house, punch).photo is not None
