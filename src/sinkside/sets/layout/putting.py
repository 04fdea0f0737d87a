"""Putting one thing down: where it may lie beside what lies there, and which of these places is best."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Final

import numpy as np

from sinkside.sets.layout.document import Clearances, Hollow, LaidPiece, Outline, Tray
from sinkside.sets.layout.geometry import TIP_LENGTH_MM, box, turned
from sinkside.sets.layout.raster import Cells, Grid, Numbers, Stamp, Waves, is_free, shared

#: What a turn costs, in mm of the tray's length: best with the working end away from whoever stands there.
_TURN_COSTS: Final = {270.0: 0.0, 90.0: 12.0, 0.0: 6.0, 180.0: 14.0}
_ODD_TURN_COSTS: Final = 30.0
_INVERSION_COSTS: Final = 400.0
_BACK_COSTS: Final = 0.04
_FAR_MATE_COSTS: Final = 0.5
_UPPER_COSTS: Final = 80.0
_COVER_COSTS: Final = 40.0
_LAST: Final = 10_000


@dataclass(frozen=True)
class Wanted:
    """A thing that needs a place.

    Attributes:
        id: of the piece, or of the basket's holder.
        outline: about its middle.
        members: the members that it is of; several in a basket.
        rank: its turn; late where nobody said it.
        has_turn: whether somebody said it.
        is_heavy: whether it is known to be heavy.
        is_delicate: whether it has a tip or edge to care for.
        is_cup: whether water can stand in it.
        mate: the member that it belongs with.
        is_basket: whether it is a closed basket.
    """

    id: str
    outline: Outline
    members: frozenset[str]
    rank: int = _LAST
    has_turn: bool = False
    is_heavy: bool = False
    is_delicate: bool = False
    is_cup: bool = False
    mate: str = ""
    is_basket: bool = False

    @classmethod
    def of(cls, piece: LaidPiece, clearances: Clearances, *, mate: str) -> Wanted:
        """What a piece wants."""
        return cls(
            id=piece.id,
            outline=piece.outline,
            members=frozenset({piece.member}),
            rank=piece.order or _LAST,
            has_turn=piece.order is not None,
            is_heavy=piece.mass_kg is not None and piece.mass_kg >= clearances.heavy_kg,
            is_delicate=bool(piece.delicate),
            is_cup=piece.hollow is Hollow.cup,
            mate=mate,
        )

    @classmethod
    def basket(cls, holder: str, length_mm: float, width_mm: float, members: frozenset[str]) -> Wanted:
        """What a closed basket wants; it is put down last."""
        return cls(holder, box(length_mm, width_mm), members, rank=_LAST + 1, is_basket=True)

    @cached_property
    def area_mm2(self) -> float:
        """What it covers."""
        return float(turned(self.outline, 0.0).area)


@dataclass
class Things:
    """What is to be put down, on which grid; masks are made once for all orders that are tried."""

    wanted: tuple[Wanted, ...]
    tray: Tray
    clearances: Clearances
    cell_mm: float
    apart: frozenset[frozenset[str]] = frozenset()
    _stamps: dict[tuple[Outline, float], Stamp] = field(default_factory=dict)

    @cached_property
    def grid(self) -> Grid:
        """The floor of the tray."""
        return self.grid_of(self.tray.length_mm, self.tray.width_mm)

    def grid_of(self, length_mm: float, width_mm: float) -> Grid:
        """A floor of some size, with enough that is empty beyond it."""
        asked = self.clearances
        beyond = max(asked.pieces_mm, asked.heavy_mm, asked.apart_mm) + 4 * self.cell_mm
        return Grid(length_mm, width_mm, self.cell_mm, beyond)

    def stamp(self, at: int, turn: float) -> Stamp:
        """A thing at a turn."""
        key = (self.wanted[at].outline, turn)
        if key not in self._stamps:
            self._stamps[key] = Stamp(*key, self.grid)
        return self._stamps[key]

    def are_apart(self, one: Wanted, other: Wanted) -> bool:
        """Whether two must not lie beside each other."""
        return any(
            frozenset({mine, theirs}) in self.apart
            for mine in one.members
            for theirs in other.members
            if mine != theirs
        )


@dataclass(frozen=True)
class Put:
    """A thing where it lies: its number, its middle, turn, level and box; what its place costs beside room.

    `is_relaxed` says that it lies nearer to something heavy or delicate, or with its tip nearer to a wall,
    than is asked for, since no other place was left.
    """

    at: int
    x: float
    y: float
    turn: float
    level: int
    box: tuple[float, float, float, float]
    penalty: float
    is_relaxed: bool
    is_basket: bool = False

    @property
    def right_mm(self) -> float:
        """How far to the right it reaches."""
        return self.box[2]


class Floor:
    """A level of the tray with what lies on it."""

    def __init__(self, things: Things, level: int) -> None:
        self.things = things
        self.level = level
        self.put: list[Put] = []
        self._cells: dict[int, Cells] = {}
        self._waves: dict[frozenset[int], Waves] = {}

    def add(self, put: Put) -> None:
        """Put something down."""
        self._cells[put.at] = self.things.stamp(put.at, put.turn).at(put.x, put.y)
        self.put.append(put)

    def waves(self, chosen: Sequence[int]) -> Waves:
        """Some of what lies here, as waves."""
        key = frozenset(chosen)
        if key not in self._waves:
            together = np.logical_or.reduce([self._cells[at] for at in sorted(key)])
            self._waves[key] = self.things.grid.waves(together)
        return self._waves[key]

    def best(self, at: int, turns: Sequence[float], *, others: Sequence[Floor], strict: bool) -> Put | None:
        """The best free place for a thing at some turns; none where there is none.

        Args:
            at: the number of the thing.
            turns: in degrees.
            others: the other levels.
            strict: whether it keeps off from walls with its tip and from what is heavy or delicate, too.
        """
        wanted = self.things.wanted[at]
        if self.level and wanted.is_heavy:
            return None
        found = (self._at_turn(at, turn, others=others, strict=strict) for turn in turns)
        return min((one for one in found if one), key=lambda one: one[0], default=(0.0, None))[1]

    def _at_turn(
        self, at: int, turn: float, *, others: Sequence[Floor], strict: bool
    ) -> tuple[float, Put] | None:
        things, wanted = self.things, self.things.wanted[at]
        stamp = things.stamp(at, turn)
        window = _window(things, stamp, wanted, strict=strict)
        if window is None:
            return None
        rows, columns = window
        lying = (*self._kept_off(wanted, strict=strict), *_on_others(others, wanted, strict=strict))
        free = is_free(shared(stamp, lying))[rows, columns]
        if not free.any():
            return None
        xs = np.arange(columns.start, columns.stop) * things.cell_mm
        ys = np.arange(rows.start, rows.stop) * things.cell_mm
        extra = self._penalties(wanted, stamp, xs, ys) + _TURN_COSTS.get(turn, _ODD_TURN_COSTS)
        for floor in others:
            extra = extra + floor.covered(stamp, wanted)[rows, columns]
        extra = extra + _UPPER_COSTS * self.level
        left, back, right, front = stamp.bounds
        # What holds no turn in the order of use stands at the end, out of its way.
        across = things.tray.length_mm - xs if wanted.is_basket else xs + right
        costs = np.where(free, extra + across[None, :] + _BACK_COSTS * ys[:, None], np.inf)
        row, column = np.unravel_index(int(np.argmin(costs)), costs.shape)
        x, y = float(xs[column]), float(ys[row])
        bounds = x + left, y + back, x + right, y + front
        penalty = float(extra[row, column])
        put = Put(
            at, x, y, turn, self.level, bounds, penalty, is_relaxed=not strict, is_basket=wanted.is_basket
        )
        return float(costs[row, column]), put

    def _kept_off(self, wanted: Wanted, *, strict: bool) -> Iterator[tuple[Waves, float]]:
        """What lies here, with the distance to keep from it."""
        if self.put:
            yield self.waves([one.at for one in self.put]), self.things.clearances.pieces_mm
        yield from self.kept_far_off(wanted, strict=strict)

    def kept_far_off(self, wanted: Wanted, *, strict: bool) -> Iterator[tuple[Waves, float]]:
        """What lies here from which more is kept, on whatever level the thing comes to lie."""
        things, asked = self.things, self.things.clearances
        lying = [one.at for one in self.put]
        apart = [one for one in lying if things.are_apart(wanted, things.wanted[one])]
        if apart:
            yield self.waves(apart), asked.apart_mm
        harmed = [one for one in lying if _harms(wanted, things.wanted[one])]
        if strict and harmed:
            yield self.waves(harmed), asked.heavy_mm

    def covered(self, stamp: Stamp, wanted: Wanted) -> Numbers:
        """What lying over or under the things of this level costs; with a cup it is out of the question."""
        if not self.put:
            return np.zeros(self.things.grid.shape)
        cups = [one.at for one in self.put if wanted.is_cup or self.things.wanted[one.at].is_cup]
        counted = shared(stamp, [(self.waves([one.at for one in self.put]), 0.0)])
        costs = _COVER_COSTS * counted / max(float(counted.max()), 1.0)
        if cups:
            costs = np.where(is_free(shared(stamp, [(self.waves(cups), 0.0)])), costs, np.inf)
        return np.asarray(costs)

    def _penalties(self, wanted: Wanted, stamp: Stamp, xs: Numbers, ys: Numbers) -> Numbers:
        """What each place costs because the order of use does not read there, or a mate is far."""
        costs = np.zeros((len(ys), len(xs)))
        left, back, right, front = stamp.bounds
        nearest: Numbers | None = None
        for one in self.put:
            other = self.things.wanted[one.at]
            if wanted.mate and wanted.mate in other.members:
                far = np.hypot(xs[None, :] - one.x, ys[:, None] - one.y)
                nearest = far if nearest is None else np.minimum(nearest, far)
            if not (wanted.has_turn and other.has_turn) or wanted.rank == other.rank:
                continue
            before = _reads_before((xs + left, xs + right), (ys + back, ys + front), one.box)
            after = ~before
            costs += _INVERSION_COSTS * (before if wanted.rank > other.rank else after)
        return costs if nearest is None else costs + _FAR_MATE_COSTS * nearest


def _on_others(others: Sequence[Floor], wanted: Wanted, *, strict: bool) -> Iterator[tuple[Waves, float]]:
    for floor in others:
        yield from floor.kept_far_off(wanted, strict=strict)


def _reads_before(
    across: tuple[Numbers, Numbers], down: tuple[Numbers, Numbers], other: tuple[float, float, float, float]
) -> Cells:
    """Whether boxes read before another one: wholly left of it, or above each other and behind it."""
    left, right = across[0][None, :], across[1][None, :]
    back, front = down[0][:, None], down[1][:, None]
    over = (right > other[0]) & (left < other[2])
    aside = (front > other[1]) & (back < other[3])
    middle = left + right < other[0] + other[2]
    return np.asarray(np.where(over, np.where(aside, middle, front <= other[1]), right <= other[0]))


def _harms(one: Wanted, other: Wanted) -> bool:
    return (one.is_heavy and other.is_delicate) or (one.is_delicate and other.is_heavy)


def _window(things: Things, stamp: Stamp, wanted: Wanted, *, strict: bool) -> tuple[slice, slice] | None:
    """The cells in which the middle may lie so that walls are kept off; none where there are none."""
    asked, tray, cell = things.clearances, things.tray, things.cell_mm
    left, back, right, front = stamp.bounds
    low_x, high_x = asked.wall_mm - left, tray.length_mm - asked.wall_mm - right
    low_y, high_y = asked.wall_mm - back, tray.width_mm - asked.wall_mm - front
    if strict and wanted.is_delicate:
        tip = tip_bounds(wanted.outline, stamp.turn)
        low_x, high_x = max(low_x, asked.tip_mm - tip[0]), min(high_x, tray.length_mm - asked.tip_mm - tip[2])
        low_y, high_y = max(low_y, asked.tip_mm - tip[1]), min(high_y, tray.width_mm - asked.tip_mm - tip[3])
    columns = slice(math.ceil(low_x / cell - 1e-9), math.floor(high_x / cell + 1e-9) + 1)
    rows = slice(math.ceil(low_y / cell - 1e-9), math.floor(high_y / cell + 1e-9) + 1)
    if columns.start >= columns.stop or rows.start >= rows.stop:
        return None
    return rows, columns


@lru_cache(maxsize=2000)
def tip_bounds(outline: Outline, turn: float) -> tuple[float, float, float, float]:
    """The box round the working end of an outline at a turn, about its middle."""
    from shapely import affinity
    from shapely import box as box_of

    whole = turned(outline, 0.0)
    end = whole.bounds[2]
    tip = whole.intersection(box_of(end - TIP_LENGTH_MM, whole.bounds[1], end, whole.bounds[3]))
    left, back, right, front = affinity.rotate(tip, turn, origin=(0.0, 0.0)).bounds
    return float(left), float(back), float(right), float(front)
