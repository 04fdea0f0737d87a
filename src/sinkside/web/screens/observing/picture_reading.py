"""Pictures of a channel's inside: the trainee reads each, then sees what it shows and what is done next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pydantic import Field

from sinkside.desk import observing, observing_kept
from sinkside.desk.observing_kept import RIGHT
from sinkside.errors import BadInput
from sinkside.teach.borescope import NAMES, NEXT, PICTURES, Shows, pictures
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.observing.shelf import PLACE, screen
from sinkside.web.screens.observing.watching import title_of

_PICTURES: Final = f"{PLACE}/{{observation}}/pictures"


@dataclass(frozen=True)
class PictureShown:
    """One picture, drawn and described; once it was read, what was said, what it shows, what is done next."""

    id: str
    place: int
    drawing: str
    described: str
    said: str
    shows: str
    is_right: bool
    next: str


@dataclass(frozen=True)
class PicturesPage:
    """The pictures of one observation, what may be said of each; `sentence` once they were read."""

    title: str
    address: str
    observation: str
    begun: bool
    pictures: tuple[PictureShown, ...]
    choices: tuple[Option, ...]
    sentence: str
    is_enough: bool


class ReadPictures(Form):
    """What the trainee says of each picture, in their order."""

    said: list[str] = Field(default=[], max_length=PICTURES)


@screen.page(_PICTURES, right=RIGHT, template="observation_pictures.html")
def read_page(asked: Asked, observation: str) -> PicturesPage:
    """The pictures, to be read, or as they were read."""
    known = observing_kept.open_observation(asked.archive, asked.visitor, observation)
    drawn = known.pictures
    said = drawn.said if drawn else {}
    shown = pictures(drawn.seed) if drawn else ()
    reading = drawn.reading if drawn and said else None
    return PicturesPage(
        title="Pictures of a channel’s inside",
        address=asked.at(f"/observing/{observation}/pictures"),
        observation=title_of(known),
        begun=drawn is not None,
        pictures=tuple(
            PictureShown(
                id=one.id,
                place=place,
                drawing=one.drawing,
                described=one.described,
                said=NAMES[said[one.id]] if said else "",
                shows=NAMES[one.shows] if said else "",
                is_right=bool(said) and said[one.id] is one.shows,
                next=NEXT[one.shows] if said else "",
            )
            for place, one in enumerate(shown, 1)
        ),
        choices=tuple(Option(one.value, NAMES[one]) for one in Shows),
        sentence=reading.sentence if reading else "",
        is_enough=bool(reading and reading.is_enough),
    )


@screen.act(f"{_PICTURES}/begin", right=RIGHT, page=read_page)
def begin_reading(asked: Asked, observation: str) -> Done:
    """Draw the pictures; they are the same from then on."""
    observing.show_pictures(asked.archive, asked.visitor, observation, now=asked.now)
    return Done(go=asked.at(f"/observing/{observation}/pictures"))


@screen.act(_PICTURES, right=RIGHT, form=ReadPictures, page=read_page)
def read(asked: Asked, form: ReadPictures, observation: str) -> Done:
    """Keep what the trainee says of the pictures."""
    if strange := [one for one in form.said if one not in set(Shows)]:
        raise BadInput(f"'{strange[0][:40]}' is nothing that a picture shows", resource="said")
    said = {f"p{place}": Shows(one) for place, one in enumerate(form.said, 1)}
    observing.read_pictures(asked.archive, asked.visitor, observation, said, now=asked.now)
    return Done(go=asked.at(f"/observing/{observation}/pictures"))
