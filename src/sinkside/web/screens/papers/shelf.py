"""Which papers hang here: what must be replaced first, then what is current, then what hangs nowhere."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from sinkside.aids.papers import NAMES, Kind
from sinkside.desk import paper_register
from sinkside.desk.paper_documents import PaperPrinted
from sinkside.desk.paper_register import HangingPaper, KnownPaper
from sinkside.desk.paper_sets import COUNT_SHEET
from sinkside.desk.people import names_of
from sinkside.plain import LANGUAGES
from sinkside.plain.operations import station_label
from sinkside.route import Station
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Nav, Option, Screen

screen = Screen("papers")

READ: Final = paper_register.READ
HANG: Final = paper_register.HANG
PLACE: Final = f"{DEPARTMENT}/papers"


@dataclass(frozen=True)
class PlaceLine:
    """Copies of a paper at a place.

    Attributes:
        id: of the place.
        address: the paper's page.
        place: where they hang.
        copies: how many, in words.
        title: what the paper is of.
        paper: which paper it is, with station, size and language.
        revision: of what it was printed from.
        hung: when and by whom.
        since: since when it is out of date; empty where it is current or that is not known.
        now: what is in force instead, in words; empty where it is current.
        ended: how it ended, when and by whom; empty while it hangs.
    """

    id: str
    address: str
    place: str
    copies: str
    title: str
    paper: str
    revision: int
    hung: str
    since: str
    now: str
    ended: str


@dataclass(frozen=True)
class PrintedLine:
    """A paper that was printed and hangs nowhere: its page, what it is of, which paper, and when."""

    address: str
    title: str
    paper: str
    revision: int
    printed: str


@dataclass(frozen=True)
class PapersPage:
    """Which papers hang here.

    Attributes:
        title: the heading.
        to_replace: what hangs out of date, the longest first.
        current: what hangs and is in force.
        nowhere: what was printed and hangs nowhere that anybody said.
        changes: the texts of which papers hang out of date, by name and id.
        packs: where their current papers are asked for as one PDF.
        instructions: where a text is chosen to print papers of.
        downtime: where the paper pack is; empty for whoever may not see the department.
        languages: in which it comes.
        may_hang: whether this person may say what hangs where.
    """

    title: str
    to_replace: tuple[PlaceLine, ...]
    current: tuple[PlaceLine, ...]
    nowhere: tuple[PrintedLine, ...]
    changes: tuple[Option, ...]
    packs: str
    instructions: str
    downtime: str
    languages: tuple[Option, ...]
    may_hang: bool


@screen.page(PLACE, right=READ, template="papers.html", nav=Nav("Papers", 28, "instructions"))
def papers(asked: Asked) -> PapersPage:
    """Every paper that hangs in this department, what must be replaced first."""
    known = paper_register.register(asked.archive, asked.visitor)
    names = names_of(asked.archive, (one.place.by for one in (*known.to_replace, *known.current)))
    changed = {
        one.known.paper.of.id: one.known.paper.title
        for one in known.to_replace
        if one.known.paper.of.noun == "instruction" and one.known.standing.state == "replaced"
    }
    return PapersPage(
        title="Papers",
        to_replace=tuple(place_line(asked, one, names) for one in known.to_replace),
        current=tuple(place_line(asked, one, names) for one in known.current),
        nowhere=tuple(_printed(asked, one) for one in known.nowhere),
        changes=tuple(Option(key, title) for key, title in changed.items()),
        packs=asked.at("/papers/packs"),
        instructions=asked.at("/instructions"),
        downtime=asked.at("/papers/downtime") if asked.visitor.may("department-read") else "",
        languages=tuple(Option(code, name) for code, name in LANGUAGES.items()),
        may_hang=asked.visitor.may(HANG),
    )


def place_line(asked: Asked, one: HangingPaper, names: Mapping[str, str]) -> PlaceLine:
    """Copies at a place, in words."""
    place, standing, zone = one.place, one.known.standing, asked.visitor.zone
    ended = ""
    if place.ended and place.ended_at:
        why = f": {place.why}" if place.why else ""
        ended = f"{place.ended} {shown_moment(place.ended_at, zone)}, {names[place.ended_by]}{why}"
    return PlaceLine(
        id=one.id,
        address=asked.at(f"/papers/{one.known.code}"),
        place=place.place,
        copies="1 copy" if place.copies == 1 else f"{place.copies} copies",
        title=one.known.paper.title,
        paper=paper_words(one.known.paper),
        revision=one.known.paper.of.revision,
        hung=f"{shown_moment(place.at, zone)}, {names[place.by]}",
        since=shown_moment(standing.since, zone) if standing.since else "",
        now=now_words(one.known),
        ended=ended,
    )


def now_words(known: KnownPaper) -> str:
    """What is in force instead of a paper; nothing where it is current."""
    standing = known.standing
    if standing.is_current:
        return ""
    if standing.state == "withdrawn":
        return "nothing of it is in force any more"
    if standing.revision == known.paper.of.revision:
        return "the same revision is in force, done otherwise here"
    return f"revision {standing.revision} is in force"


def paper_words(paper: PaperPrinted) -> str:
    """Which paper it is: its name, station, size and language."""
    parts = [kind_words(paper.kind), station_label(Station(paper.station)) if paper.station else ""]
    parts += [size_words(paper.size), *(LANGUAGES.get(one, one) for one in paper.languages)]
    return ", ".join(filter(None, parts))


def kind_words(kind: str) -> str:
    """What a kind of paper is called."""
    if kind == COUNT_SHEET:
        return "Count sheet"
    return NAMES[Kind(kind)] if kind in set(Kind) else kind


def size_words(size: str) -> str:
    """What a size of paper is called.

    >>> size_words("a3"), size_words("letter")
    ('A3', 'Letter')
    """
    return size.capitalize()


def people_of(places: Iterable[HangingPaper]) -> list[str]:
    """Everybody who hung, replaced or removed something."""
    return [person for one in places for person in (one.place.by, one.place.ended_by) if person]


def papers_url(asked: Asked) -> str:
    """Where papers are looked up by their code, for whoever scans one."""
    return f"{asked.address}{asked.at('/papers')}"


def _printed(asked: Asked, known: KnownPaper) -> PrintedLine:
    return PrintedLine(
        address=asked.at(f"/papers/{known.code}"),
        title=known.paper.title,
        paper=paper_words(known.paper),
        revision=known.paper.of.revision,
        printed=shown_moment(known.row.updated, asked.visitor.zone),
    )
