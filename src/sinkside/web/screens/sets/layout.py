"""The tray of a set: its list, its drawing, what is wrong with it, every figure with where it is from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query

from sinkside.aids.report.finding_view import finding_views
from sinkside.desk import set_layout, sets
from sinkside.desk.people import names_of
from sinkside.desk.set_layout import SeenLayout
from sinkside.desk.set_layout_things import tray_for, trays_of
from sinkside.language import computed
from sinkside.sets.layout import Clearances, Layout, Tray, tray_lines, tray_map_svg
from sinkside.sets.layout.document import LaidPiece
from sinkside.sets.layout.figures import NOTES
from sinkside.sets.layout.lines import TrayLine
from sinkside.sets.layout.nearest import Nearest, least_of, nearest_of
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Option
from sinkside.web.screens.sets.page import SetFindingShown
from sinkside.web.screens.sets.shelf import PLACE, READ, screen

Piece = Annotated[str, Query(max_length=100)]

_LEAST_WORDS: Final = {
    "heavy_kg": "the heaviest here",
    "mates_mm": "the most here",
    "small_mm": "the smallest that lies loose",
}


@dataclass(frozen=True)
class TrayLineShown:
    """A line of the list: letter, name, count, what is to know of it, how far turned, order of use, mass.

    `moves` is what is picked up by that letter: its first piece, or the basket that it lies in.
    """

    letter: str
    name: str
    count: int
    notes: tuple[str, ...]
    turn: str
    order: str
    mass: str
    moves: str


@dataclass(frozen=True)
class PlaceShown:
    """Where one thing lies: id, words, middle in mm, turn, raise, level, what it is nearest to, how far."""

    id: str
    words: str
    x: str
    y: str
    turn: str
    raised: str
    level: int
    nearest: str
    to: str


@dataclass(frozen=True)
class FigureShown:
    """A figure that is kept: what it is, what is asked, the least here, how it is found, source, range."""

    key: str
    what: str
    asked: str
    here: str
    how: str
    source: str
    covers: str


@dataclass(frozen=True)
class LayFields:
    """The form of laying out, as it stands; `measured` has one piece a line, semicolons between."""

    tray: str
    seed: int
    levels: int
    slope: str
    lowest: str
    clearances: tuple[tuple[str, str, str, str], ...]
    measured: str


@dataclass(frozen=True)
class LayoutPage:
    """The tray of a set.

    Attributes:
        title: the heading.
        address: of this page.
        set_address: the set's page.
        in_use: whether the set can still be changed.
        revision: of the layout; 0 where nobody laid it out.
        made: how this revision came about.
        is_stale: whether the set was changed since.
        tray: name and size of the tray, in words.
        count: how many pieces lie in it.
        left_out: what found no place.
        never: single-use parts that the tray never holds.
        lines: the list.
        places: where each thing lies.
        chosen: the thing that the form of moving begins with.
        svg: the drawing.
        figures: what is kept, with sources.
        findings: what is wrong.
        stops: how many of these are stops.
        concerns: and how many concerns.
        fields: the form of laying out.
        trays: the trays to choose from.
        sides: the sides of a tray.
        levels: the levels of this tray to choose from.
        unknown: pieces whose size nobody knows.
    """

    title: str
    address: str
    set_address: str
    in_use: bool
    revision: int
    made: str
    is_stale: bool
    tray: str
    count: int
    left_out: tuple[str, ...]
    never: tuple[str, ...]
    lines: tuple[TrayLineShown, ...]
    places: tuple[PlaceShown, ...]
    chosen: str
    svg: str
    figures: tuple[FigureShown, ...]
    findings: tuple[SetFindingShown, ...]
    stops: int
    concerns: int
    fields: LayFields
    trays: tuple[Option, ...]
    sides: tuple[Option, ...]
    levels: tuple[Option, ...]
    unknown: tuple[str, ...]


@screen.page(f"{PLACE}/{{key}}/layout", right=READ, template="set_layout.html")
def layout_page(asked: Asked, key: str, *, piece: Piece = "") -> LayoutPage:
    """Where everything of a set lies in its tray, and what is wrong with that."""
    seen = set_layout.see_layout(asked.archive, asked.visitor, key)
    layout = seen.layout
    document = seen.opened.document
    tray = layout.tray if layout else tray_for(document, seen.site)
    levels = [one.level.value for one in layout.findings] if layout else []
    address = asked.at(f"/sets/{key}")
    return LayoutPage(
        title=f"{document.name}: its tray",
        address=f"{address}/layout",
        set_address=address,
        in_use=seen.opened.row.state == sets.IN_USE,
        revision=seen.revision,
        made=_made(asked, seen),
        is_stale=seen.is_of_an_earlier_set,
        tray=_tray_words(tray),
        count=len(layout.pieces) if layout else 0,
        left_out=tuple(one.piece.name for one in layout.left_out) if layout else (),
        never=layout.never if layout else (),
        lines=tuple(_line(layout, line) for line in tray_lines(layout)) if layout else (),
        places=tuple(_places(layout)) if layout else (),
        chosen=piece,
        svg=tray_map_svg(layout) if layout else "",
        figures=tuple(_figures(layout)) if layout else (),
        findings=_findings(layout) if layout else (),
        stops=levels.count("stop"),
        concerns=levels.count("concern"),
        fields=_fields(seen, tray),
        trays=_tray_options(seen, tray),
        sides=tuple(Option(side, side) for side in ("front", "back", "left", "right")),
        levels=tuple(Option(str(at), _level_words(at)) for at in range(tray.layers)),
        unknown=_unknown(layout) if layout else (),
    )


def _made(asked: Asked, seen: SeenLayout) -> str:
    if not seen.history:
        return "Nobody laid it out yet."
    last = seen.history[-1]
    name = names_of(asked.archive, {last.by})[last.by]
    moment = shown_moment(last.at, asked.visitor.zone)
    return " · ".join(filter(None, (f"Revision {last.number}", moment, name, last.note)))


def _tray_words(tray: Tray) -> str:
    sizes = [tray.length_mm, tray.width_mm, *([tray.height_mm] if tray.height_mm else [])]
    return f"{tray.name}, {' × '.join(f'{one:g}' for one in sizes)} mm inside"


def _level_words(at: int) -> str:
    return "the floor" if at == 0 else f"level {at + 1}"


def _line(layout: Layout, line: TrayLine) -> TrayLineShown:
    notes = (
        line.lies,
        line.holder and f"in or on: {line.holder}",
        line.delicate and f"delicate: {line.delicate}",
    )
    if line.lies == "" and any(one.untold for one in layout.pieces if one.letter == line.letter):
        notes = ("position not told by its text", *notes[1:])
    return TrayLineShown(
        letter=line.letter,
        name=line.name,
        count=line.count,
        notes=tuple(note for note in notes if note),
        turn=line.turn,
        order=str(line.order or ""),
        mass=computed(line.mass_kg * 1000.0, "g") if line.mass_kg else "",
        moves=_picked_up(layout, line),
    )


def _picked_up(layout: Layout, line: TrayLine) -> str:
    first = next(one for one in layout.pieces if one.letter == line.letter)
    return first.holder if layout.in_basket(first) else first.id


def _places(layout: Layout) -> Iterator[PlaceShown]:
    nearest = nearest_of(layout)
    for piece in layout.pieces:
        if piece.id in nearest and not layout.in_basket(piece):
            yield _place(
                piece.id, f"{piece.id}: {piece.name}", piece, nearest[piece.id], raised=piece.raised_mm
            )
    for basket in layout.baskets:
        holder = layout.holder(basket.holder)
        name = holder.name if holder else basket.holder
        where = LaidPiece(
            id="basket", letter="-", member=name, x=basket.x, y=basket.y, turn=basket.turn, layer=basket.layer
        )
        yield _place(basket.holder, name, where, nearest[basket.holder], raised=0.0)


def _place(name_id: str, words: str, where: LaidPiece, near: Nearest, *, raised: float) -> PlaceShown:
    return PlaceShown(
        id=name_id,
        words=words,
        x=f"{where.x:g}",
        y=f"{where.y:g}",
        turn=f"{where.turn:g}",
        raised=f"{raised:g}",
        level=where.layer,
        nearest=computed(near.mm, "mm"),
        to=near.to,
    )


def _figures(layout: Layout) -> Iterator[FigureShown]:
    least = least_of(layout)
    for key, notes in NOTES.items():
        found = least[key]
        words = _LEAST_WORDS.get(key, "the least here")
        yield FigureShown(
            key=key,
            what=notes.name,
            asked=computed(getattr(layout.clearances, key), notes.unit),
            here=f"{words} {computed(found, notes.unit)}" if found is not None else "nothing here asks it",
            how=notes.how,
            source=notes.source,
            covers=notes.covers,
        )


def _findings(layout: Layout) -> tuple[SetFindingShown, ...]:
    return tuple(
        SetFindingShown(
            level=view.level,
            message=view.message,
            remedy=view.remedy,
            sums=tuple((name, value) for name, value, kind in view.evidence if kind == "number"),
            source=view.source,
        )
        for view in finding_views(layout.findings)
    )


def _fields(seen: SeenLayout, tray: Tray) -> LayFields:
    layout = seen.layout
    kept = layout.clearances if layout else Clearances()
    measured = [*layout.pieces, *(one.piece for one in layout.left_out)] if layout else []
    lines = dict.fromkeys(
        f"{one.name}; {one.length_mm:g}; {one.width_mm:g}" for one in measured if one.is_measured
    )
    return LayFields(
        tray=tray.id,
        seed=layout.seed if layout else 1,
        levels=tray.layers,
        slope=f"{tray.slope_deg:g}",
        lowest=tray.lowest.value,
        clearances=tuple(
            (key, notes.name, notes.unit, f"{getattr(kept, key):g}") for key, notes in NOTES.items()
        ),
        measured="\n".join(lines),
    )


def _tray_options(seen: SeenLayout, tray: Tray) -> tuple[Option, ...]:
    known = tuple(Option(one.id, _tray_words(one)) for one in trays_of(seen.site))
    return known or (Option("", _tray_words(tray)),)


def _unknown(layout: Layout) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.piece.name for one in layout.left_out if one.by_mm is None))
