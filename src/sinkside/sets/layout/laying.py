"""A set laid out in a tray, and a piece of a layout moved: always judged anew."""

from __future__ import annotations

import math
from typing import Final

from sinkside.errors import BadInput, NotThere
from sinkside.sets.layout.checking import checked_layout
from sinkside.sets.layout.document import Basket, Holder, HolderKind, Hollow, LaidPiece, Layout
from sinkside.sets.layout.gathering import Gathered, TrayRequest, gather
from sinkside.sets.layout.judging_pieces import raise_for
from sinkside.sets.layout.placing import Parameters, Problem, Result, Stop, place

_LIFTS: Final = {HolderKind.bar, HolderKind.comb}
#: A basket whose size nobody said (common practice, no source).
_COMMON_BASKET_MM: Final = (100.0, 60.0)


def lay_out(
    request: TrayRequest,
    *,
    seed: int = 1,
    stop: Stop | None = None,
    parameters: Parameters | None = None,
) -> Layout:
    """Lay a set out in a tray, and say what is wrong with it; the same for the same seed.

    Args:
        request: the set, its texts, the tray and what holds things.
        seed: what is tried at random hangs on it alone.
        stop: when to stop improving.
        parameters: how to look for places.

    Raises:
        BadInput: if the set has more pieces than are laid out at once, or a measured piece is none of it.
    """
    gathered = gather(request)
    holders = tuple(_sized(one) for one in gathered.holders)
    problem = Problem(
        tray=request.tray,
        pieces=gathered.pieces,
        baskets=tuple(
            (one.id, one.length_mm or 0.0, one.width_mm or 0.0)
            for one in holders
            if one.kind is HolderKind.basket
        ),
        clearances=request.clearances,
        apart=gathered.apart,
        mates=gathered.mates,
    )
    found = place(problem, seed=seed, stop=stop, parameters=parameters)
    return checked_layout(_raised(_layout(request, gathered, holders, found, seed=seed)))


def moved(
    layout: Layout,
    thing: str,
    *,
    x: float | None = None,
    y: float | None = None,
    turn: float | None = None,
    raised_mm: float | None = None,
    layer: int | None = None,
) -> Layout:
    """A layout in which one piece or basket lies elsewhere, judged anew; what is not told stays.

    Args:
        layout: as it was.
        thing: the id of the piece, or of the basket's holder.
        x: of its middle, in mm.
        y: of its middle, in mm.
        turn: in degrees.
        raised_mm: by how much its back end is raised.
        layer: 0 is the floor.

    Raises:
        NotThere: if no such thing lies in the tray by itself.
        BadInput: if there is no such level, or a figure is no place.
    """
    told = {"x": x, "y": y, "turn": turn, "raised_mm": raised_mm, "layer": layer}
    change = {name: value for name, value in told.items() if value is not None}
    if any(not math.isfinite(value) for value in change.values()):
        raise BadInput("expected numbers for where it lies", resource=thing)
    if layer is not None and not 0 <= layer < layout.tray.layers:
        raise BadInput(f"there is no level {layer + 1}; the tray has {layout.tray.layers}", resource="layer")
    piece = layout.piece(thing)
    if piece is not None and not layout.in_basket(piece):
        pieces = tuple(_changed(one, change) if one is piece else one for one in layout.pieces)
        return checked_layout(layout.model_copy(update={"pieces": pieces}))
    baskets = {one.holder: one for one in layout.baskets}
    if thing not in baskets:
        raise NotThere("no such piece lies in the tray by itself", resource=thing)
    change.pop("raised_mm", None)
    kept = tuple(
        Basket.model_validate({**one.model_dump(), **change}) if one.holder == thing else one
        for one in layout.baskets
    )
    return checked_layout(layout.model_copy(update={"baskets": kept}))


def _changed(piece: LaidPiece, change: dict[str, float | int]) -> LaidPiece:
    return LaidPiece.model_validate({**piece.model_dump(), **change})


def _sized(holder: Holder) -> Holder:
    if holder.kind is not HolderKind.basket or (holder.length_mm and holder.width_mm):
        return holder
    long, wide = _COMMON_BASKET_MM
    return holder.model_copy(update={"length_mm": long, "width_mm": wide, "is_assumed": True})


def _layout(
    request: TrayRequest, gathered: Gathered, holders: tuple[Holder, ...], found: Result, *, seed: int
) -> Layout:
    return Layout(
        set=request.document.name,
        revision=request.revision,
        tray=request.tray,
        holders=holders,
        clearances=request.clearances,
        pieces=found.pieces,
        baskets=found.baskets,
        left_out=found.left_out,
        apart=gathered.apart,
        mates=gathered.mates,
        never=gathered.never,
        assumed=gathered.assumed,
        seed=seed,
        steps=found.steps,
    )


def _raised(layout: Layout) -> Layout:
    """Lumens on a bar or comb, their back end raised so far that they fall towards their opening."""
    pieces = []
    for piece in layout.pieces:
        holder = layout.holder(piece.holder)
        lifts = holder is not None and holder.kind in _LIFTS
        by = (
            math.ceil(raise_for(layout, piece))
            if lifts and piece.hollow is Hollow.lumen and piece.outline
            else 0
        )
        pieces.append(piece.model_copy(update={"raised_mm": float(by)}) if by else piece)
    return layout.model_copy(update={"pieces": tuple(pieces)})
