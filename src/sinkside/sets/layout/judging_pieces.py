"""What is judged of each piece by itself: position, drainage, holder, size, use; and what is not known."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.findings import Evidence, Finding, Measure
from sinkside.instruction import PartUse
from sinkside.sets.contents import NEVER_IN_THE_TRAY
from sinkside.sets.layout import wordings
from sinkside.sets.layout.document import Faces, HolderKind, Hollow, LaidPiece, Layout, Side
from sinkside.sets.layout.gathering import is_small
from sinkside.sets.layout.geometry import Body

_USE_WORDS: Final = {
    PartUse.discard_after_use: "thrown away where it was used",
    PartUse.sterile_at_field: "sterile in a pack of its own and opened at the field",
}
#: The way to a side, as the turn at which a working end points there.
_WAYS: Final = {Side.right: 0.0, Side.front: 90.0, Side.left: 180.0, Side.back: 270.0}
_TRUE_TO_DEG: Final = 0.005
_NAMED: Final = 6


@dataclass(frozen=True)
class Judged:
    """A layout and its bodies."""

    layout: Layout
    bodies: Sequence[Body]

    def words(self, piece: LaidPiece) -> str:
        """What a piece is called in a sentence."""
        return f"{piece.id} ({piece.name})"


def fall_deg(layout: Layout, piece: LaidPiece) -> float:
    """By how much a straight piece falls towards its working end, in degrees; negative where it rises.

    Args:
        layout: whose tray may be sloped.
        piece: whose back end may be raised.

    Source: plain geometry; common practice for how much is asked, no source.
    """
    tray = layout.tray
    along = math.cos(math.radians(piece.turn - _WAYS[tray.lowest]))
    own = math.degrees(math.atan2(piece.raised_mm, piece.length_mm)) if piece.length_mm else 0.0
    return tray.slope_deg * along + own


def raise_for(layout: Layout, piece: LaidPiece) -> float:
    """How much the back end of a piece must be raised in all for its lumen to fall enough, in mm."""
    level = piece.model_copy(update={"raised_mm": 0.0})
    lacking = layout.clearances.fall_deg - fall_deg(layout, level)
    return max(piece.length_mm * math.tan(math.radians(lacking)), 0.0)


def _positions(case: Judged) -> Iterator[Finding]:
    for piece in case.layout.pieces:
        about: Evidence = {"one": case.words(piece), "piece": piece.id}
        for feature, needed in piece.needed.items():
            lies = piece.lies.get(feature, needed)
            if lies != needed and feature != "part":
                evidence: Evidence = {**about, "feature": feature, "lies": lies, "needed": needed}
                yield wordings.POSITION.finding(evidence=evidence)


def _positions_untold(case: Judged) -> Iterator[Finding]:
    """Once for all pieces alike."""
    told: set[tuple[str, str]] = set()
    for piece in case.layout.pieces:
        for feature in piece.untold:
            if (piece.member, feature) not in told:
                told.add((piece.member, feature))
                evidence = {"one": piece.member, "feature": feature, "piece": piece.id}
                yield wordings.POSITION_UNTOLD.finding(evidence=evidence)


def _drains(case: Judged) -> Iterator[Finding]:
    layout = case.layout
    if layout.tray.drain == "none":
        yield wordings.NO_DRAIN.finding(evidence={"tray": layout.tray.name})
    for piece in layout.pieces:
        about: Evidence = {"one": case.words(piece), "piece": piece.id}
        if piece.hollow is Hollow.cup and piece.faces is Faces.up:
            yield wordings.CUP_UP.finding(evidence=about)
        if piece.hollow is not Hollow.lumen or layout.in_basket(piece) or not piece.outline:
            continue
        fall, asked = fall_deg(layout, piece), layout.clearances.fall_deg
        if fall < asked - _TRUE_TO_DEG:
            yield wordings.NO_FALL.finding(
                evidence={
                    **about,
                    "fall": Measure(value=round(fall, 2), unit="°"),
                    "required": Measure(value=asked, unit="°"),
                    "margin": Measure(value=round(fall - asked, 2), unit="°"),
                    "raise": Measure(value=math.ceil(raise_for(layout, piece)), unit="mm"),
                }
            )


def _holders(case: Judged) -> Iterator[Finding]:
    layout = case.layout
    for piece in layout.pieces:
        about: Evidence = {"one": case.words(piece), "piece": piece.id}
        if piece.delicate and not piece.holder:
            yield wordings.NO_HOLDER.finding(evidence={**about, "why": piece.delicate})
        extent = max(piece.length_mm, piece.width_mm)
        if is_small(piece, layout.clearances) and not layout.in_basket(piece):
            evidence: Evidence = {
                **about,
                "extent": Measure(value=round(extent, 1), unit="mm"),
                "required": Measure(value=layout.clearances.small_mm, unit="mm"),
            }
            yield wordings.LOOSE.finding(evidence=evidence)
        height = layout.tray.height_mm
        if height is not None and piece.raised_mm > height:
            evidence = {
                **about,
                "raised": Measure(value=piece.raised_mm, unit="mm"),
                "height": Measure(value=height, unit="mm"),
            }
            yield wordings.TALL.finding(evidence=evidence)


def _baskets(case: Judged) -> Iterator[Finding]:
    """What lies in a closed basket goes into it; a basket of which nobody said the size is named."""
    layout = case.layout
    for holder in layout.holders:
        if holder.kind is not HolderKind.basket or not holder.length_mm or not holder.width_mm:
            continue
        sizes: Evidence = {
            "length": Measure(value=holder.length_mm, unit="mm"),
            "width": Measure(value=holder.width_mm, unit="mm"),
        }
        if holder.is_assumed:
            yield wordings.HOLDER_UNKNOWN.finding(evidence={"holder": holder.name, **sizes})
        longest = math.hypot(holder.length_mm, holder.width_mm)
        for piece in layout.pieces:
            extent = max(piece.length_mm, piece.width_mm)
            if piece.holder == holder.id and extent > longest:
                evidence: Evidence = {
                    "one": case.words(piece),
                    "piece": piece.id,
                    "extent": Measure(value=round(extent, 1), unit="mm"),
                    "basket": f"the {holder.name}",
                    "by": Measure(value=round(extent - longest, 2), unit="mm"),
                }
                yield wordings.BASKET_FULL.finding(evidence=evidence)


def _single_use(case: Judged) -> Iterator[Finding]:
    for piece in case.layout.pieces:
        if piece.use in NEVER_IN_THE_TRAY:
            evidence = {"one": case.words(piece), "piece": piece.id, "use": _USE_WORDS[piece.use]}
            yield wordings.SINGLE_USE.finding(evidence=evidence)


def _left_out(case: Judged) -> Iterator[Finding]:
    unknown = [left.piece for left in case.layout.left_out if left.by_mm is None]
    if unknown:
        names = tuple(dict.fromkeys(piece.name for piece in unknown))
        yield wordings.NO_OUTLINE.finding(evidence={"pieces": "; ".join(names)})
    for left in case.layout.left_out:
        if left.by_mm is not None:
            by = Measure(value=round(left.by_mm, 1), unit="mm")
            evidence: Evidence = {
                "one": case.words(left.piece),
                "piece": left.piece.id,
                "why": left.why,
                "by": by,
            }
            yield wordings.NOT_PLACED.finding(evidence=evidence)


def _not_known(case: Judged) -> Iterator[Finding]:
    layout = case.layout
    tray = layout.tray
    if tray.is_assumed:
        sizes: Evidence = {
            "length": Measure(value=tray.length_mm, unit="mm"),
            "width": Measure(value=tray.width_mm, unit="mm"),
        }
        yield wordings.TRAY_ASSUMED.finding(evidence={"tray": tray.name, **sizes})
    if layout.assumed:
        yield wordings.OUTLINE_ASSUMED.finding(evidence={"pieces": _some(layout.assumed)})
    loose = [piece for piece in layout.pieces if piece.mass_kg is None and not layout.in_basket(piece)]
    if loose:
        names = tuple(dict.fromkeys(piece.name for piece in loose))
        yield wordings.MASS_UNKNOWN.finding(evidence={"pieces": _some(names)})


def _some(names: Sequence[str]) -> str:
    more = len(names) - _NAMED
    return "; ".join(names[:_NAMED]) + (f" and {more} more" if more > 0 else "")


PIECE_CHECKS: Final[tuple[Callable[[Judged], Iterator[Finding]], ...]] = (
    _left_out,
    _positions,
    _single_use,
    _drains,
    _holders,
    _baskets,
    _positions_untold,
    _not_known,
)
