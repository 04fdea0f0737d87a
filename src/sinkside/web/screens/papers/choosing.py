"""Choosing a paper of an instruction: which, in which language, on which size; looked at, then printed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final, Literal, TypeVar
from urllib.parse import urlencode

from fastapi import Query
from pydantic import Field

from sinkside.aids.papers import NAMES, SIZES, Kind, Size
from sinkside.desk import paper_printing
from sinkside.desk.paper_making import OF_A_STATION, Ground, PaperChoice
from sinkside.desk.paper_pictures import PageSize, page_sizes
from sinkside.desk.paper_printing import Wanted
from sinkside.errors import BadInput, NotForTheFloor
from sinkside.plain import LANGUAGES, Units
from sinkside.plain.operations import station_label
from sinkside.route import Station
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.papers.shelf import PLACE, READ, papers_url, screen, size_words

Word = TypeVar("Word", Size, Station)


class Chosen(Form):
    """Which paper of which instruction; the size and the station may stay unsaid."""

    instruction: str = Field("", max_length=100)
    kind: Kind = Kind.poster
    language: str = Field("en", max_length=10)
    size: str = Field("", max_length=20)
    station: str = Field("", max_length=30)
    temperature: Literal["", "°C", "°F"] = ""
    pressure: Literal["", "bar", "kPa", "mbar", "psi"] = ""


class LookedAt(Chosen):
    """The same, how it is looked at, and which page of it."""

    proof: bool = False
    zoom: Literal["fit", "real"] = "fit"
    page: int = Field(1, ge=1, le=1_000)

    @property
    def chosen(self) -> Chosen:
        """Which paper it is."""
        return Chosen(**{name: getattr(self, name) for name in Chosen.model_fields})


_NOTHING_SAID: Final = LookedAt()


@dataclass(frozen=True)
class PreviewPage:
    """A page as a picture: its address, its size in life in mm and in CSS pixels, 96 to the inch."""

    picture: str
    width_mm: float
    height_mm: float
    width_px: int
    height_px: int
    words: str

    @classmethod
    def of(cls, picture: str, size: PageSize, words: str) -> PreviewPage:
        """A page of some size."""
        width, height = (round(mm / 25.4 * 96) for mm in (size.width_mm, size.height_mm))
        return cls(picture, size.width_mm, size.height_mm, width, height, words)


@dataclass(frozen=True)
class ChoosePage:
    """A paper to be chosen and looked at.

    Attributes:
        title: the heading.
        address: of this page.
        here: the same with what is chosen, so that it can be loaded again.
        of: the instruction's page.
        instruction: its id.
        device: what the device is called.
        state: which revision papers are made from, and who approved it.
        kinds: which papers there are.
        languages: in which languages.
        sizes: on which sizes this paper comes.
        stations: where the route has work; empty where the paper is of no station.
        temperatures: in which unit temperatures are read.
        pressures: in which unit pressures are read.
        chosen: what is chosen.
        proof: whether a proof is looked at.
        zoom: fitted to the screen, or in life size.
        zooms: the same page in either.
        pages: the pages as pictures.
        file: where the PDF of a proof is.
        refused: why the paper must not be printed yet; empty where it may.
        what_to_do: what to do about it.
        proof_address: where a proof is looked at instead.
    """

    title: str
    address: str
    here: str
    of: str
    instruction: str
    device: str
    state: str
    kinds: tuple[Option, ...]
    languages: tuple[Option, ...]
    sizes: tuple[Option, ...]
    stations: tuple[Option, ...]
    temperatures: tuple[Option, ...]
    pressures: tuple[Option, ...]
    chosen: Chosen
    proof: bool
    zoom: str
    zooms: tuple[Option, ...]
    pages: tuple[PreviewPage, ...]
    file: str
    refused: str
    what_to_do: str
    proof_address: str


_MAKERS_OWN: Final = "As the maker writes"
_ZOOM_WORDS: Final = {"fit": "Fitted to the screen", "real": "Life size"}


@screen.page(f"{PLACE}/new", right=READ, template="paper_choose.html")
def choose(asked: Asked, *, wanted: Annotated[LookedAt, Query()] = _NOTHING_SAID) -> ChoosePage:
    """A paper as it would be printed, page by page; refused in a sentence where it must not be."""
    typed = {name: texts[0] for name, texts in asked.problem.typed.items() if texts}
    said = Chosen.model_validate({**wanted.chosen.model_dump(), **typed})
    ground = paper_printing.what_there_is(asked.archive, asked.visitor, said.instruction)
    chosen, proof, zoom = _settled(ground, said), wanted.proof, wanted.zoom
    address, query = asked.at("/papers/new"), chosen.model_dump(mode="json")
    pages, refused = _looked_at(asked, chosen, proof=proof)
    return ChoosePage(
        title=f"Papers of {ground.device}",
        address=address,
        here=f"{address}?{urlencode(query)}",
        of=asked.at(f"/instructions/{chosen.instruction}"),
        instruction=chosen.instruction,
        device=ground.device,
        state=_state(ground),
        kinds=tuple(Option(one.value, NAMES[one]) for one in Kind),
        languages=tuple(Option(code, name) for code, name in LANGUAGES.items()),
        sizes=tuple(Option(one.value, size_words(one)) for one in SIZES[chosen.kind]),
        stations=_stations(ground, chosen.kind),
        temperatures=tuple(Option(one, one or _MAKERS_OWN) for one in ("", "°C", "°F")),
        pressures=tuple(Option(one, one or _MAKERS_OWN) for one in ("", "bar", "kPa", "mbar", "psi")),
        chosen=chosen,
        proof=proof,
        zoom=zoom,
        zooms=tuple(
            Option(f"{address}?{urlencode({**query, 'proof': proof, 'zoom': one})}", words)
            for one, words in _ZOOM_WORDS.items()
            if one != zoom
        ),
        pages=pages,
        file=f"{asked.at('/papers/file')}?{urlencode({**query, 'proof': proof})}" if pages else "",
        refused=refused,
        what_to_do=_what_to_do(ground) if refused else "",
        proof_address=f"{address}?{urlencode({**query, 'proof': True})}" if not proof else "",
    )


@screen.act(f"{PLACE}/new", right=READ, form=Chosen, page=choose)
def print_it(asked: Asked, form: Chosen) -> Done:
    """Print a paper for the floor: it is known by its code from now on, and can be hung."""
    made = paper_printing.print_paper(asked.archive, asked.visitor, wanted_of(asked, form), now=asked.now)
    said = "Printed. Open the PDF, print it, and say where it hangs."
    return Done(go=asked.at(f"/papers/{made.code}"), said=said)


def wanted_of(asked: Asked, chosen: Chosen, *, proof: bool = False) -> Wanted:
    """What the desk is asked for.

    Raises:
        BadInput: if there is no such language, size or station.
    """
    if chosen.language not in LANGUAGES:
        known = ", ".join(LANGUAGES)
        raise BadInput(
            f"there are no papers in '{chosen.language}'; expected one of {known}", resource="language"
        )
    size = _one_of(Size, chosen.size, "size") if chosen.size else None
    station = _one_of(Station, chosen.station, "station") if chosen.station else None
    units = Units(temperature=chosen.temperature, pressure=chosen.pressure)
    choice = PaperChoice(chosen.kind, chosen.language, size, station, units)
    return Wanted(chosen.instruction, choice, papers_url(asked), proof=proof)


def _one_of(kind: type[Word], text: str, field: str) -> Word:
    try:
        return kind(text)
    except ValueError as error:
        known = ", ".join(kind)
        raise BadInput(f"'{text}' is none; expected one of {known}", resource=field) from error


def _settled(ground: Ground, chosen: Chosen) -> Chosen:
    """What is chosen, with what another kind does not have replaced by its first."""
    sizes = [one.value for one in SIZES[chosen.kind]]
    stations = [one.value for one in ground.stations] if chosen.kind in OF_A_STATION else []
    size = chosen.size if chosen.size in sizes else sizes[0]
    station = chosen.station if chosen.station in stations else (stations or [""])[0]
    return chosen.model_copy(update={"size": size, "station": station})


def _stations(ground: Ground, kind: Kind) -> tuple[Option, ...]:
    if kind not in OF_A_STATION:
        return ()
    return tuple(Option(one.value, station_label(one)) for one in ground.stations)


def _looked_at(asked: Asked, chosen: Chosen, *, proof: bool) -> tuple[tuple[PreviewPage, ...], str]:
    """The pages as pictures, or why there are none."""
    try:
        made = paper_printing.look(
            asked.archive, asked.visitor, wanted_of(asked, chosen, proof=proof), now=asked.now
        )
    except (NotForTheFloor, BadInput) as error:
        return (), sentence(error.message)
    sizes = page_sizes(made.pdf)
    query = urlencode({**chosen.model_dump(mode="json"), "proof": proof})
    return tuple(
        PreviewPage.of(
            f"{asked.at('/papers/picture')}?{query}&page={number}",
            size,
            f"Page {number} of {len(sizes)}, {size.width_mm:g} × {size.height_mm:g} mm",
        )
        for number, size in enumerate(sizes, start=1)
    ), ""


def _state(ground: Ground) -> str:
    number = ground.shown.revision.number
    if ground.approval is None:
        return f"Revision {number}; nobody has approved it."
    return f"Revision {number}, approved by {ground.approval.by} on {ground.approval.on}."


def _what_to_do(ground: Ground) -> str:
    if ground.approval is None:
        return "Settle what is open, have the revision approved, and come back; or look at a proof."
    return "Settle what stops it on the instruction’s page, or look at a proof."


def sentence(text: str) -> str:
    """What was refused, as a sentence of a page."""
    return text[:1].upper() + text[1:] + ("" if text[-1:] in ".!?" else ".")
