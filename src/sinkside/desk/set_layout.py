"""Layouts of sets as the archive keeps them beside each set: laid out, moved piece by piece, judged anew."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Final

from sinkside.department import Department
from sinkside.desk import sets
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.departments import KIND as DEPARTMENT
from sinkside.desk.keeping import from_revision, keep_next, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.set_checking import texts_of as texts_of_files
from sinkside.desk.set_layout_things import holders_of, tray_for
from sinkside.desk.set_texts import texts_of
from sinkside.desk.sets import OpenSet
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.instruction import Instruction
from sinkside.records import Making, Revision
from sinkside.sets import SetDocument, load_set
from sinkside.sets.layout import Clearances, Layout, TrayRequest, lay_out, moved
from sinkside.sets.layout.document import Side

KIND: Final = "set-layout"


@dataclass(frozen=True)
class LayingAsked:
    """How somebody wants a set laid out.

    Attributes:
        tray: the id of a tray; the one that the set's list names unless told.
        seed: what the placing hangs on.
        clearances: what is kept.
        layers: how many levels the tray has.
        slope_deg: by how much it is sloped.
        lowest: which side is lowest then.
        measured: length and width in mm of pieces that somebody measured, by name.
    """

    tray: str = ""
    seed: int = 1
    clearances: Clearances = field(default_factory=Clearances)
    layers: int = 1
    slope_deg: float = 0.0
    lowest: Side = Side.front
    measured: Mapping[str, tuple[float, float]] = field(default_factory=dict)


@dataclass(frozen=True)
class Move:
    """One thing that lies elsewhere; what is not told stays."""

    thing: str
    x: float | None = None
    y: float | None = None
    turn: float | None = None
    raised_mm: float | None = None
    layer: int | None = None


@dataclass(frozen=True)
class SeenLayout:
    """A set with its layout.

    Attributes:
        opened: the set.
        site: what the department has.
        layout: the latest one; none where nobody laid it out.
        revision: of the layout; 0 where there is none.
        history: how each revision of it was made, oldest first.
    """

    opened: OpenSet
    site: Department | None
    layout: Layout | None
    revision: int
    history: tuple[Making, ...]

    @property
    def is_of_an_earlier_set(self) -> bool:
        """Whether the set was changed since it was laid out."""
        return self.layout is not None and self.layout.revision != self.opened.revision.number


def see_layout(archive: Archive, who: Visitor, key: str) -> SeenLayout:
    """A set with its layout.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such set here.
    """
    require(who, sets.READ)
    with archive.unit(writes=False) as unit:
        opened = sets.set_in(unit, who, key)
        kept = unit.documents.get(KIND, key)
        return SeenLayout(
            opened=opened,
            site=_site(unit, who),
            layout=from_revision(kept, Layout) if kept else None,
            revision=kept.number if kept else 0,
            history=tuple(unit.documents.history(KIND, key)),
        )


def layout_of(unit: Unit, key: str, revision: int) -> Revision | None:
    """The layout of a set's tray, where it was laid out for this revision of the set."""
    kept = unit.documents.get(KIND, key)
    return kept if kept and from_revision(kept, Layout).revision == revision else None


def lay_out_set(
    archive: Archive, who: Visitor, key: str, asked: LayingAsked, *, base: int, now: datetime
) -> Layout:
    """Lay a set out anew, and keep that as the next revision of its layout.

    Args:
        archive: where it is kept.
        who: who says so.
        key: the set.
        asked: how.
        base: the revision of the layout that the person had before them; 0 where there was none.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such set here.
        Conflict: if there is a later revision already, or the set is not in use.
        BadInput: if there is no such tray, or too many pieces.
    """
    require(who, sets.EDIT)
    with archive.unit(writes=False) as unit:
        opened = _open_for_laying(unit, who, key)
        found = texts_of(unit, who, opened.document)
        texts = {called: text for called, one in found.items() if (text := one.instruction)}
        site = _site(unit, who)
    # Placing takes a while; nobody waits for it at the archive.
    layout = _laid_out(opened.document, texts, site, asked, revision=opened.revision.number)
    with archive.unit() as unit:
        opened = _open_for_laying(unit, who, key)
        if opened.revision.number != layout.revision:
            raise Conflict("somebody changed the set meanwhile; lay it out again", resource=key)
        kept = _keep(unit, who, key, layout, base=base, now=now, note=f"Laid out, seed {asked.seed}")
        data = {
            "revision": kept.number,
            "digest": kept.digest,
            "seed": asked.seed,
            "set_revision": layout.revision,
        }
        record(unit, who, "set-laid-out", f"{sets.KIND}:{key}", now=now, data=data)
    return layout


def move_in_layout(
    archive: Archive, who: Visitor, key: str, move: Move, *, base: int, now: datetime
) -> Layout:
    """Move one thing in a layout, judge it anew, and keep that as its next revision.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such set here, it has no layout, or no such thing lies in it.
        Conflict: if there is a later revision already, or the set is not in use.
        BadInput: if nothing would move, or a figure is no place.
    """
    require(who, sets.EDIT)
    with archive.unit() as unit:
        _open_for_laying(unit, who, key)
        before = read_kept(unit, KIND, key, Layout)
        if before is None:
            raise NotThere("this set was not laid out yet", resource=key)
        after = moved(
            before,
            move.thing,
            x=move.x,
            y=move.y,
            turn=move.turn,
            raised_mm=move.raised_mm,
            layer=move.layer,
        )
        if after.pieces == before.pieces and after.baskets == before.baskets:
            raise BadInput("nothing was moved", resource=move.thing)
        kept = _keep(unit, who, key, after, base=base, now=now, note=f"Moved {move.thing}")
        data = {"revision": kept.number, "digest": kept.digest, "thing": move.thing}
        record(unit, who, "set-piece-moved", f"{sets.KIND}:{key}", now=now, data=data)
    return after


def lay_out_file(
    set_file: Path, instructions: Mapping[str, Instruction], site: Department | None, asked: LayingAsked
) -> Layout:
    """Lay out a set from a file.

    Args:
        set_file: the set.
        instructions: each under its file's name without the ending; a set may also say the device's name.
        site: what the department has.
        asked: how.

    Raises:
        BadInput: if the set cannot be read, there is no such tray, or it has too many pieces.
    """
    document = load_set(set_file)
    return _laid_out(document, texts_of_files(document, instructions), site, asked)


def _laid_out(
    document: SetDocument,
    texts: Mapping[str, Instruction],
    site: Department | None,
    asked: LayingAsked,
    *,
    revision: int = 0,
) -> Layout:
    tray = tray_for(document, site, asked.tray).model_copy(
        update={"layers": asked.layers, "slope_deg": asked.slope_deg, "lowest": asked.lowest}
    )
    request = TrayRequest(
        document=document,
        instructions=texts,
        tray=tray,
        holders=holders_of(site),
        clearances=asked.clearances,
        measured=asked.measured,
        revision=revision,
    )
    return lay_out(request, seed=asked.seed)


def _keep(
    unit: Unit, who: Visitor, key: str, layout: Layout, *, base: int, now: datetime, note: str
) -> Revision:
    latest = unit.documents.get(KIND, key)
    number = latest.number if latest else 0
    if number != base:
        raise Conflict(
            f"somebody else made revision {number} of the layout meanwhile; look at it first", resource=key
        )
    return keep_next(unit, KIND, key, layout, by=who.person, now=now, note=note)


def _open_for_laying(unit: Unit, who: Visitor, key: str) -> OpenSet:
    opened = sets.set_in(unit, who, key)
    if opened.row.state != sets.IN_USE:
        raise Conflict("this set is not in use any longer; it stays as it is", resource=key)
    return opened


def _site(unit: Unit, who: Visitor) -> Department | None:
    return read_kept(unit, DEPARTMENT, who.department, Department)
