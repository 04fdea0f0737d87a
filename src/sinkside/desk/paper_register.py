"""Which paper hangs where: put up, replaced and removed by named people, and what must be replaced now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.keeping import from_revision, keep_next, made
from sinkside.desk.paper_codes import code_of
from sinkside.desk.paper_documents import Ended, PaperPlace, PaperPrinted
from sinkside.desk.paper_standing import PaperStanding, standing_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.records import Row

PAPER: Final = "paper"
PLACE: Final = "paper-place"
READ: Final = "instruction-read"
HANG: Final = "paper-hang"

HANGS: Final = "hangs"
#: More copies at one place are a slip of the pen.
MOST_COPIES: Final = 99
_LONGEST_PLACE: Final = 120
_LONGEST_WHY: Final = 500
_MOST: Final = 5_000


@dataclass(frozen=True)
class KnownPaper:
    """A paper that was printed here: its code, what it is, how it stands."""

    code: str
    paper: PaperPrinted
    standing: PaperStanding
    row: Row


@dataclass(frozen=True)
class HangingPaper:
    """Copies of a paper at a place."""

    id: str
    place: PaperPlace
    known: KnownPaper


@dataclass(frozen=True)
class OpenPaper:
    """A paper with every place where it hangs or hung, the latest first."""

    known: KnownPaper
    places: tuple[HangingPaper, ...]


@dataclass(frozen=True)
class Register:
    """What hangs here: to be replaced, the longest outdated first; current; and printed but hung nowhere."""

    to_replace: tuple[HangingPaper, ...]
    current: tuple[HangingPaper, ...]
    nowhere: tuple[KnownPaper, ...]


def register_printed(unit: Unit, who: Visitor, paper: PaperPrinted, *, now: datetime) -> str:
    """Know a paper by its code from now on; printed again it is the same paper."""
    code = code_of(who.department, paper)
    if unit.documents.get(PAPER, code) is None:
        revision = made(PAPER, code, 1, paper, by=who.person, now=now)
        unit.documents.keep(revision)
        fields: dict[str, str | int | float | bool | None] = {
            "kind": paper.kind,
            "of": f"{paper.of.noun}:{paper.of.id}",
            "revision": paper.of.revision,
            "size": paper.size,
            "station": paper.station,
            "languages": " ".join(paper.languages),
        }
        unit.rows.put(Row(PAPER, code, who.department, "printed", paper.title, now, fields=fields))
    data = {"kind": paper.kind, "revision": paper.of.revision, "of": paper.title}
    record(unit, who, "paper-printed", f"{PAPER}:{code}", now=now, data=data)
    return code


def open_paper(archive: Archive, who: Visitor, code: str) -> OpenPaper:
    """A paper by its code: how it stands, and where it hangs.

    Raises:
        NotAllowed: without the right.
        NotThere: if no such paper was printed here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known = known_paper(unit, who, code)
        rows = [row for row in _places(unit, who) if row.fields.get("paper") == code]
        return OpenPaper(known, tuple(HangingPaper(row.id, _place(unit, row.id), known) for row in rows))


def register(archive: Archive, who: Visitor) -> Register:
    """Every paper that hangs in this department, and those that were printed and hang nowhere.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        hanging = list(hanging_in(unit, who))
        on_walls = {one.known.code for one in hanging}
        rows = unit.rows.all(PAPER, [who.department], limit=_MOST)
        nowhere = [known_paper(unit, who, row.id) for row in rows if row.id not in on_walls]
    outdated = [one for one in hanging if not one.known.standing.is_current]
    return Register(
        to_replace=tuple(sorted(outdated, key=_outdated_since)),
        current=tuple(one for one in hanging if one.known.standing.is_current),
        nowhere=tuple(one for one in nowhere if one.standing.is_current),
    )


def hanging_in(unit: Unit, who: Visitor) -> Iterator[HangingPaper]:
    """Every copy that hangs in this department, with how its paper stands; each paper is asked after once."""
    known: dict[str, KnownPaper] = {}
    for row in _places(unit, who, states=[HANGS]):
        place = _place(unit, row.id)
        if place.paper not in known:
            known[place.paper] = known_paper(unit, who, place.paper)
        yield HangingPaper(row.id, place, known[place.paper])


def hang(archive: Archive, who: Visitor, code: str, *, place: str, copies: int, now: datetime) -> str:
    """Say that copies of a paper hang somewhere now, and give the place its id.

    Raises:
        NotAllowed: without the right.
        NotThere: if no such paper was printed here.
        Conflict: if the paper is replaced already, or hangs there.
        BadInput: if the place or the number of copies will not do.
    """
    require(who, HANG)
    where = _said(place, "place", _LONGEST_PLACE)
    if not 1 <= copies <= MOST_COPIES:
        raise BadInput(f"{copies} copies; expected 1 to {MOST_COPIES}", resource="copies")
    with archive.unit() as unit:
        known = known_paper(unit, who, code)
        if not known.standing.is_current:
            raise Conflict("this paper is replaced already; print and hang the current one", resource=code)
        for other in _places(unit, who, states=[HANGS]):
            if other.fields.get("paper") == code and other.title.casefold() == where.casefold():
                raise Conflict("this paper hangs there already", resource="place")
        key = new_id("w")
        kept = PaperPlace(paper=code, place=where, copies=copies, by=who.person, at=now)
        keep_next(unit, PLACE, key, kept, by=who.person, now=now)
        unit.rows.put(Row(PLACE, key, who.department, HANGS, where, now, fields=_fields(kept)))
        data = {"place": where, "copies": copies, "of": known.paper.title}
        record(unit, who, "paper-hung", f"{PAPER}:{code}", now=now, data=data)
        return key


def end(
    archive: Archive, who: Visitor, code: str, key: str, *, how: Ended, why: str = "", now: datetime
) -> HangingPaper:
    """Say that the copies at a place were replaced by the current paper, or taken away.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such place here.
        Conflict: if somebody said so already.
        BadInput: if nobody says why a current paper was taken away.
    """
    require(who, HANG)
    with archive.unit() as unit:
        row = unit.rows.get(PLACE, key)
        if row is None or row.department != who.department:
            raise NotThere("no paper hangs there", resource=key)
        place = _place(unit, key)
        if place.paper != code:
            raise NotThere("no paper hangs there", resource=key)
        if place.ended is not None:
            raise Conflict("somebody said already that it is gone", resource=key)
        known = known_paper(unit, who, place.paper)
        _refuse_without_reason(known, how, why)
        ended = place.model_copy(
            update={"ended": how, "ended_by": who.person, "ended_at": now, "why": why.strip()[:_LONGEST_WHY]}
        )
        keep_next(unit, PLACE, key, ended, by=who.person, now=now)
        unit.rows.put(replace(row, state=how, updated=now, fields=_fields(ended)))
        data = {"place": place.place, "copies": place.copies, "of": known.paper.title, "why": ended.why}
        subject, is_gone = f"{PAPER}:{place.paper}", how == "removed"
        record(
            unit,
            who,
            "paper-removed" if is_gone else "paper-replaced",
            subject,
            now=now,
            data=data,
        )
        return HangingPaper(key, ended, known)


def known_paper(unit: Unit, who: Visitor, code: str) -> KnownPaper:
    """A paper of this department by its code, however the letters were typed.

    Raises:
        NotThere: if no such paper was printed here.
    """
    row = unit.rows.get(PAPER, code.strip().lower())
    revision = unit.documents.get(PAPER, row.id) if row else None
    if row is None or revision is None or row.department != who.department:
        raise NotThere("no paper with this code was printed here", resource=code)
    paper = from_revision(revision, PaperPrinted)
    return KnownPaper(row.id, paper, standing_of(unit, who, paper), row)


def _places(unit: Unit, who: Visitor, *, states: Iterable[str] = ()) -> list[Row]:
    return unit.rows.all(PLACE, [who.department], states=list(states), limit=_MOST)


def _place(unit: Unit, key: str) -> PaperPlace:
    revision = unit.documents.get(PLACE, key)
    if revision is None:
        raise NotThere("no paper hangs there", resource=key)
    return from_revision(revision, PaperPlace)


def _fields(place: PaperPlace) -> dict[str, str | int | float | bool | None]:
    return {"paper": place.paper, "copies": place.copies}


def _refuse_without_reason(known: KnownPaper, how: Ended, why: str) -> None:
    if known.standing.is_current and how == "replaced":
        raise BadInput("this paper is current; there is none to take its place", resource="how")
    if known.standing.is_current and not why.strip():
        raise BadInput("expected why a current paper was taken away", resource="why")


def _said(text: str, field: str, longest: int) -> str:
    words = " ".join(text.split())
    if not 0 < len(words) <= longest:
        raise BadInput(f"expected where it hangs, in 1 to {longest} letters", resource=field)
    return words


def _outdated_since(one: HangingPaper) -> tuple[bool, str, str]:
    since = one.known.standing.since
    return since is None, since.isoformat() if since else "", one.place.place
