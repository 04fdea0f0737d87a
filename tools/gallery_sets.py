"""What the gallery's house holds of sets and photos: a set with its water, a photo with letters."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Final

from PIL import Image, ImageDraw, ImageFilter

from sinkside.desk import photos, set_moisture, sets
from sinkside.desk.photos import PointFields
from sinkside.desk.set_things import AssumptionSaid, BesideSaid, PackagingSaid, Said, ThingsSaid
from sinkside.desk.uploads import Upload
from sinkside.sets import read_set

if TYPE_CHECKING:
    from gallery_house import GalleryHouse

Ink = int | tuple[int, int, int]

_NAME: Final = "Bone set 1"
_SIZE: Final = (1500, 950)
_CLOTH: Final = (66, 104, 122)
_STEEL: Final = (205, 209, 212)
_EDGE: Final = (120, 128, 134)

_SAID: Final[tuple[Said, ...]] = (
    ThingsSaid(("straight punch", "small punch"), mass="210 g", material="stainless-steel", shape="jointed"),
    ThingsSaid(("angled punch",), mass="180 g", material="stainless-steel", shape="jointed", lies="holding"),
    BesideSaid("fine-mesh tray", "0.9 kg", "stainless-steel", "mesh", "level"),
    BesideSaid("silicone mat", "120 g", "silicone", "flat", "level"),
    PackagingSaid(mass="2.1 kg", material="aluminium"),
    AssumptionSaid("out-container", "0.3", "0.6", "Weighed ten times in January, after drying."),
)

_POINTS: Final = (
    PointFields("jaw: open it for every step of cleaning", "", "13", "51"),
    PointFields("hinge: brush it from both sides", "", "27.5", "50"),
    PointFields("ring for the thumb", "", "87", "62"),
)


def make_sets(house: GalleryHouse) -> None:
    """Keep a set with everything that is said of its things, and where it is."""
    who = house.visitor("lead")
    text = house.where["orlet"]
    members = [
        {"instruction": text, "name": "straight punch", "count": 3, "order": 1, "lies": "left row"},
        {"instruction": text, "name": "small punch", "count": 2, "order": 2, "lies": "right row"},
        {"instruction": text, "name": "angled punch", "order": 3, "lies": "clip at the back"},
    ]
    members[0]["apart"] = [{"of": "angled punch", "why": "its edge harms the other's"}]
    values = {"name": _NAME, "packaging": "container", "members": members}
    key = sets.make_set(house.archive, who, read_set(values), now=house.now)
    for number, said in enumerate(_SAID):
        set_moisture.say_of_things(house.archive, who, key, said, base=number, now=house.now)
    house.where["bone"] = f"/at/valley/sets/{key}"


def put_photo(house: GalleryHouse) -> None:
    """Keep a photo of the forceps with three letters."""
    who, text = house.visitor("educator"), house.where["linnet"]
    upload = Upload("forceps.png", "image/png", _picture())
    photos.put_photo(house.archive, who, text, upload, base=0, now=house.now)
    for number, fields in enumerate(_POINTS, start=1):
        photos.place_point(house.archive, who, text, fields, base=number, now=house.now)


def _picture() -> bytes:
    """A drawn stand-in for a photo: forceps on a cloth, as nobody made them."""
    cloth = Image.new("RGB", _SIZE, _CLOTH)
    weave = ImageDraw.Draw(cloth)
    for at in range(0, _SIZE[0], 9):
        weave.line((at, 0, at, _SIZE[1]), fill=tuple(tone - 4 for tone in _CLOTH), width=3)
    shade = Image.new("L", _SIZE, 0)
    _draw(ImageDraw.Draw(shade), 120, 120, shift=14)
    cloth.paste((30, 50, 60), (0, 0), shade.filter(ImageFilter.GaussianBlur(12)))
    draw = ImageDraw.Draw(cloth)
    for ink, thinner in ((_EDGE, 0), (_STEEL, 6)):
        _draw(draw, ink, ink, thinner=thinner)
    out = io.BytesIO()
    cloth.filter(ImageFilter.GaussianBlur(1)).save(out, format="PNG")
    return out.getvalue()


def _draw(draw: ImageDraw.ImageDraw, ink: Ink, hinge: Ink, *, shift: int = 0, thinner: int = 0) -> None:
    """Two halves on a hinge: jaws to the left, a ring at the end of each handle."""
    draw.polygon(
        [(150 + shift, 476 + shift), (420 + shift, 452 + shift), (420 + shift, 492 + shift)], fill=ink
    )
    for bend in (-1, 1):
        path = [(410 + shift, 472 + shift), (760 + shift, 478 + 46 * bend + shift)]
        path.append((1130 + shift, 478 + 118 * bend + shift))
        draw.line(path, fill=ink, width=34 - 2 * thinner, joint="curve")
        middle = (1265 + shift, 478 + 132 * bend + shift)
        draw.ellipse(
            (middle[0] - 148, middle[1] - 92, middle[0] + 148, middle[1] + 92),
            outline=ink,
            width=30 - thinner,
        )
    draw.ellipse(
        (392 + shift, 454 + shift, 432 + shift, 494 + shift), fill=hinge, outline=_inner(hinge), width=3
    )


def _inner(ink: Ink) -> Ink:
    return _EDGE if isinstance(ink, tuple) else ink
