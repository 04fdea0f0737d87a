"""How near each thing comes to what is nearest to it, and the least that a layout leaves by each figure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sinkside.sets.layout.checking import Case, is_heavy
from sinkside.sets.layout.document import Hollow, Layout
from sinkside.sets.layout.geometry import Body, wall_distance
from sinkside.sets.layout.judging_pieces import fall_deg


@dataclass(frozen=True)
class Nearest:
    """What a thing is nearest to on its level, and how far that is in mm; negative beyond a wall."""

    to: str
    mm: float


def nearest_of(layout: Layout) -> dict[str, Nearest]:
    """What each piece and basket is nearest to, by its id: another thing on its level, or a wall."""
    case = Case(layout)
    return {body.id: _nearest(case, body) for body in case.bodies}


def least_of(layout: Layout) -> Mapping[str, float | None]:
    """The least of each figure that a layout leaves, by the fields of `Clearances`; none where none is.

    Of mates it is the most, of the mass from which a piece is heavy the heaviest piece, of the extent below
    which a piece is small the smallest that lies loose.
    """
    case = Case(layout)
    bodies = case.bodies
    pieces = [body.piece for body in bodies if body.piece is not None]
    return {
        "pieces_mm": _least(_distances(case)),
        "wall_mm": _least(wall_distance(layout.tray, body.shape) for body in bodies),
        "tip_mm": _least(wall_distance(layout.tray, body.tip) for body in bodies if body.tip is not None),
        "heavy_kg": max((one.mass_kg for one in pieces if one.mass_kg is not None), default=None),
        "heavy_mm": _least(_heavy_distances(case)),
        "apart_mm": _least(_between(_of(bodies, pair.one), _of(bodies, pair.other)) for pair in layout.apart),
        "mates_mm": max(
            (
                one
                for pair in layout.mates
                if (one := _between(_of(bodies, pair.one), _of(bodies, pair.other))) is not None
            ),
            default=None,
        ),
        "small_mm": _least(max(one.length_mm, one.width_mm) for one in pieces),
        "fall_deg": _least(fall_deg(layout, one) for one in pieces if one.hollow is Hollow.lumen),
    }


def _nearest(case: Case, body: Body) -> Nearest:
    wall = Nearest("the wall", round(wall_distance(case.layout.tray, body.shape), 1))
    others = [
        Nearest(other.words, round(float(body.shape.distance(other.shape)), 1))
        for other in case.bodies
        if other is not body and other.layer == body.layer
    ]
    return min((wall, *others), key=lambda one: one.mm)


def _distances(case: Case) -> Iterable[float]:
    for at, body in enumerate(case.bodies):
        for other in case.bodies[at + 1 :]:
            if other.layer == body.layer:
                yield float(body.shape.distance(other.shape))


def _heavy_distances(case: Case) -> Iterable[float]:
    for heavy in (body for body in case.bodies if is_heavy(body, case.asked)):
        for other in case.bodies:
            if other is not heavy and other.piece is not None and other.piece.delicate:
                yield float(heavy.shape.distance(other.shape))


def _of(bodies: Iterable[Body], called: str) -> tuple[Body, ...]:
    return tuple(body for body in bodies if body.piece is not None and body.piece.member == called)


def _between(ones: Iterable[Body], others: tuple[Body, ...]) -> float | None:
    return _least(float(one.shape.distance(other.shape)) for one in ones for other in others)


def _least(found: Iterable[float | None]) -> float | None:
    return min((one for one in found if one is not None), default=None)
