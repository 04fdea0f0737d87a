"""A layout held against every rule of protection; findings carry their millimetres and the margin."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Final

from sinkside.findings import Evidence, Finding, Measure, worst_first
from sinkside.sets.layout import wordings
from sinkside.sets.layout.document import Clearances, Layout
from sinkside.sets.layout.geometry import Body, bodies, wall_distance
from sinkside.sets.layout.judging_pieces import PIECE_CHECKS, Judged

#: Outlines are true to this; nearer than that to a bound is on it.
TRUE_TO_MM: Final = 0.01
_COVERS: Final = 0.02


def checked_layout(layout: Layout) -> Layout:
    """The same layout with everything that is wrong with it, the worst first."""
    return layout.model_copy(update={"findings": check_layout(layout)})


def check_layout(layout: Layout) -> tuple[Finding, ...]:
    """Everything that is wrong with a layout by the rules of protection, the worst first."""
    case = Case(layout)
    found = [finding for check in _CHECKS for finding in check(case)]
    judged = Judged(layout, case.bodies)
    found += [finding for check_piece in PIECE_CHECKS for finding in check_piece(judged)]
    return tuple(worst_first(found))


@dataclass(frozen=True)
class Case:
    """A layout with its bodies, worked out once."""

    layout: Layout

    @property
    def asked(self) -> Clearances:
        """What it is judged by."""
        return self.layout.clearances

    @cached_property
    def bodies(self) -> tuple[Body, ...]:
        """Everything that takes up room."""
        return bodies(self.layout)

    @cached_property
    def near(self) -> tuple[tuple[Body, Body, float], ...]:
        """All pairs that come nearer than any rule asks, with their distance in mm."""
        from shapely import STRtree

        reach = max(self.asked.pieces_mm, self.asked.heavy_mm) + TRUE_TO_MM
        if not self.bodies:
            return ()
        tree = STRtree([body.shape for body in self.bodies])
        return tuple(
            (body, self.bodies[other], float(body.shape.distance(self.bodies[other].shape)))
            for at, body in enumerate(self.bodies)
            for other in sorted(int(found) for found in tree.query(body.shape, "dwithin", reach))
            if other > at
        )


def distance_evidence(distance: float, required: float) -> Evidence:
    """A distance, what is asked for, and the margin, in mm."""
    return {
        "distance": Measure(value=round(distance, 2), unit="mm"),
        "required": Measure(value=required, unit="mm"),
        "margin": Measure(value=round(distance - required, 2), unit="mm"),
    }


def _named(one: Body, two: Body) -> Evidence:
    return {"one": one.words, "two": two.words, "piece": one.id, "other": two.id}


def _between(case: Case) -> Iterator[Finding]:
    """Nothing touches, and between two on one level is at least the clearance."""
    for one, two, distance in case.near:
        if one.layer != two.layer:
            continue
        if distance <= 0.0:
            area = Measure(value=round(float(one.shape.intersection(two.shape).area), 1), unit="mm²")
            yield wordings.TOUCHING.finding(evidence={**_named(one, two), "shared": area})
        elif distance < case.asked.pieces_mm - TRUE_TO_MM:
            evidence = {**_named(one, two), **distance_evidence(distance, case.asked.pieces_mm)}
            yield wordings.TOO_NEAR.finding(evidence=evidence)


def _walls(case: Case) -> Iterator[Finding]:
    """Everything inside the tray, clear of its walls; tips farther still."""
    tray, asked = case.layout.tray, case.asked
    for body in case.bodies:
        distance = wall_distance(tray, body.shape)
        named: Evidence = {"one": body.words, "piece": body.id}
        if distance < -TRUE_TO_MM:
            yield wordings.OUTSIDE.finding(
                evidence={**named, "by": Measure(value=round(-distance, 2), unit="mm")}
            )
        elif distance < asked.wall_mm - TRUE_TO_MM:
            yield wordings.NEAR_WALL.finding(evidence={**named, **distance_evidence(distance, asked.wall_mm)})
        tip = body.tip
        from_tip = wall_distance(tray, tip) if tip is not None else asked.tip_mm
        if from_tip < asked.tip_mm - TRUE_TO_MM and distance >= -TRUE_TO_MM:
            evidence = {**named, **distance_evidence(from_tip, asked.tip_mm)}
            yield wordings.TIP_NEAR_WALL.finding(evidence=evidence)


def _heavy(case: Case) -> Iterator[Finding]:
    """Heavy things lie below, and away from delicate ones."""
    asked = case.asked
    for one, two, distance in case.near:
        for heavy, other in ((one, two), (two, one)):
            if heavy.piece is None or other.piece is None or not is_heavy(heavy, asked):
                continue
            mass = Measure(value=heavy.piece.mass_kg or 0.0, unit="kg")
            about: Evidence = {"heavy": heavy.words, "mass": mass, "piece": heavy.id, "other": other.id}
            if heavy.layer > other.layer and distance <= 0.0:
                evidence = {**about, "level": heavy.layer + 1, "below": other.words}
                yield wordings.HEAVY_ABOVE.finding(evidence=evidence)
            elif other.piece.delicate and distance < asked.heavy_mm - TRUE_TO_MM:
                evidence = {**about, "delicate": other.words, "why": other.piece.delicate}
                evidence |= distance_evidence(distance, asked.heavy_mm)
                yield wordings.HEAVY_NEAR.finding(evidence=evidence)


def is_heavy(body: Body, asked: Clearances) -> bool:
    """Whether a body is a piece that is known to be heavy."""
    return body.piece is not None and body.piece.mass_kg is not None and body.piece.mass_kg >= asked.heavy_kg


def _levels(case: Case) -> Iterator[Finding]:
    """Nothing covers what lies below, and nothing lies in what can hold water."""
    for one, two, distance in case.near:
        if one.layer == two.layer or distance > 0.0:
            continue
        below, above = sorted((one, two), key=lambda body: body.layer)
        share = float(one.shape.intersection(two.shape).area / below.shape.area)
        evidence: Evidence = {
            "above": above.words,
            "below": below.words,
            "piece": above.id,
            "other": below.id,
            "share": Measure(value=round(100.0 * share, 1), unit="%"),
        }
        if any(body.piece is not None and body.piece.hollow == "cup" for body in (one, two)):
            yield wordings.NESTED.finding(evidence=evidence)
        elif share > _COVERS:
            yield wordings.COVERED.finding(evidence=evidence)


def _members(case: Case, called: str) -> tuple[Body, ...]:
    return tuple(body for body in case.bodies if body.piece is not None and body.piece.member == called)


def _apart(case: Case) -> Iterator[Finding]:
    """What must not lie beside each other: at least so far apart, and never in one basket."""
    layout, asked = case.layout, case.asked
    for pair in layout.apart:
        for one, two in ((a, b) for a in _where(case, pair.one) for b in _where(case, pair.other)):
            if one.id == two.id:
                evidence: Evidence = {
                    "one": pair.one,
                    "two": pair.other,
                    "why": pair.why,
                    "basket": one.words,
                }
                yield wordings.TOGETHER_IN_BASKET.finding(evidence=evidence)
                continue
            distance = float(one.shape.distance(two.shape))
            if distance < asked.apart_mm - TRUE_TO_MM:
                evidence = {
                    **_named(one, two),
                    "why": pair.why,
                    **distance_evidence(distance, asked.apart_mm),
                }
                yield wordings.KEPT_APART.finding(evidence=evidence)


def _where(case: Case, called: str) -> tuple[Body, ...]:
    """The bodies of a member: its pieces, and the baskets that have some of it."""
    layout = case.layout
    baskets = {piece.holder for piece in layout.pieces if piece.member == called and layout.in_basket(piece)}
    return (
        *_members(case, called),
        *(body for body in case.bodies if body.piece is None and body.id in baskets),
    )


def _mates(case: Case) -> Iterator[Finding]:
    """What belongs together lies beside each other: the one where the other begins."""
    most = case.asked.mates_mm
    for pair in case.layout.mates:
        pairs = [
            (float(one.shape.distance(two.shape)), one.id, two.id, one, two)
            for one in _members(case, pair.one)
            for two in _members(case, pair.other)
        ]
        if not pairs:
            continue
        distance, _, _, one, two = min(pairs, key=lambda found: found[:3])
        if distance > most + TRUE_TO_MM:
            evidence = {**_named(one, two), **distance_evidence(distance, most)}
            evidence["margin"] = Measure(value=round(most - distance, 2), unit="mm")
            yield wordings.MATES.finding(evidence=evidence)


def _order(case: Case) -> Iterator[Finding]:
    """The order of use reads from left to right; one finding for each that lies wrong."""
    turns = [
        (body, body.piece.order)
        for body in case.bodies
        if body.piece is not None and body.piece.order is not None
    ]
    told: set[str] = set()
    for (one, first), (two, second) in combinations(turns, 2):
        if first == second:
            continue
        (early, early_turn), (late, late_turn) = sorted(((one, first), (two, second)), key=lambda at: at[1])
        if late.id not in told and reads_before(late, early):
            told.add(late.id)
            evidence: Evidence = {
                "later": late.words,
                "later_turn": late_turn,
                "earlier": early.words,
                "earlier_turn": early_turn,
                "piece": late.id,
                "other": early.id,
            }
            yield wordings.ORDER.finding(evidence=evidence)


def reads_before(one: Body, two: Body) -> bool:
    """Whether one reads before another: wholly to its left, else behind it, else farther left."""
    left, back, right, front = one.shape.bounds
    other_left, other_back, other_right, other_front = two.shape.bounds
    if right <= other_left or left >= other_right:
        return bool(right <= other_left)
    if front <= other_back or back >= other_front:
        return bool(front <= other_back)
    return bool(left + right < other_left + other_right)


_CHECKS: Final[tuple[Callable[[Case], Iterator[Finding]], ...]] = (
    _between,
    _walls,
    _heavy,
    _levels,
    _apart,
    _mates,
    _order,
)
