"""An own seeded placer: problem, parameters, stop rule and result are values of their own.

Pieces are put down one after another, each at the free place that reads best and takes least room; then the
order in which they are put down is changed step by step, and what is better is kept. Steps are counted, never
seconds, so that a seed gives the same tray on every machine.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from sinkside.sets.layout.document import Basket, Clearances, KeptApart, LaidPiece, LeftOut, Mates, Tray
from sinkside.sets.layout.lacking import lacking_mm
from sinkside.sets.layout.putting import Floor, Put, Things, Wanted

#: What a place costs beside its room, in mm of the tray's length.
_LEFT_OUT: Final = 100_000.0
_BROKEN: Final = 2_000.0


@dataclass(frozen=True)
class Parameters:
    """How the placer looks: the side of a cell, the turns that it tries first, and those as a last resort."""

    cell_mm: float = 2.5
    turns: tuple[float, ...] = (270.0, 0.0, 180.0, 90.0)
    last_turns: tuple[float, ...] = (300.0, 240.0, 330.0, 210.0, 30.0, 150.0, 60.0, 120.0)


@dataclass(frozen=True)
class Stop:
    """When it stops: after so many steps of improvement, or so many in a row without any."""

    steps: int = 16
    in_vain: int = 8


@dataclass(frozen=True)
class Problem:
    """What is to be placed.

    Attributes:
        tray: what it lies in.
        pieces: those that need a place of their own, and those in closed baskets.
        baskets: the closed baskets that need a place, by holder, with length and width in mm.
        clearances: what is kept.
        apart: what must not lie beside each other.
        mates: what belongs together.
    """

    tray: Tray
    pieces: tuple[LaidPiece, ...]
    baskets: tuple[tuple[str, float, float], ...] = ()
    clearances: Clearances = field(default_factory=Clearances)
    apart: tuple[KeptApart, ...] = ()
    mates: tuple[Mates, ...] = ()


@dataclass(frozen=True)
class Result:
    """What was found.

    Attributes:
        pieces: those that have a place.
        baskets: the closed baskets that have one.
        left_out: the rest, with by how much each does not fit.
        cost: of it all; smaller is better.
        steps: how many steps of improvement were tried.
    """

    pieces: tuple[LaidPiece, ...]
    baskets: tuple[Basket, ...]
    left_out: tuple[LeftOut, ...]
    cost: float
    steps: int


def place(
    problem: Problem, *, seed: int, stop: Stop | None = None, parameters: Parameters | None = None
) -> Result:
    """Find a place for every piece; the same for the same seed.

    Args:
        problem: what is to be placed.
        seed: what is tried at random hangs on it alone.
        stop: when to stop.
        parameters: how to look.
    """
    chance = random.Random(seed)  # noqa: S311 # repeatable, nothing secret
    rule, ways = stop or Stop(), parameters or Parameters()
    things = Things(_wanted(problem), problem.tray, problem.clearances, ways.cell_mm, apart=_pairs(problem))
    best = min((_put(things, problem, ways, order) for order in _first_orders(things)), key=_cost)
    steps = vain = 0
    while steps < rule.steps and vain < rule.in_vain and _can_be_better(best):
        steps += 1
        tried = _put(things, problem, ways, _changed(best.order, best, chance))
        better = _cost(tried) < _cost(best)
        best, vain = (tried, 0) if better else (best, vain + 1)
    return _result(problem, things, best, steps=steps, ways=ways)


@dataclass(frozen=True)
class _Tried:
    """An order in which things were put down, and what came of it."""

    order: tuple[int, ...]
    put: tuple[Put, ...]
    left: tuple[int, ...]


def _wanted(problem: Problem) -> tuple[Wanted, ...]:
    """What needs a place of its own: loose pieces of known outline, then baskets."""
    in_baskets = {holder for holder, _, _ in problem.baskets}
    loose = [one for one in problem.pieces if one.outline and one.holder not in in_baskets]
    mates = {
        one: other
        for pair in problem.mates
        for one, other in ((pair.one, pair.other), (pair.other, pair.one))
    }
    pieces = [Wanted.of(one, problem.clearances, mate=mates.get(one.member, "")) for one in loose]
    members = {
        holder: frozenset(one.member for one in problem.pieces if one.holder == holder)
        for holder in in_baskets
    }
    baskets = [Wanted.basket(holder, long, wide, members[holder]) for holder, long, wide in problem.baskets]
    return (*pieces, *baskets)


def _pairs(problem: Problem) -> frozenset[frozenset[str]]:
    return frozenset(frozenset({pair.one, pair.other}) for pair in problem.apart)


def _first_orders(things: Things) -> tuple[tuple[int, ...], ...]:
    """By order of use; and by size, since large things find no gaps later."""
    known = range(len(things.wanted))
    by_use = sorted(known, key=lambda at: (things.wanted[at].rank, at))
    by_size = sorted(known, key=lambda at: (-things.wanted[at].area_mm2, at))
    return tuple(dict.fromkeys((tuple(by_use), tuple(by_size))))


def _changed(order: Sequence[int], best: _Tried, chance: random.Random) -> tuple[int, ...]:
    """Another order: what was left out goes first, or two change their turns."""
    new = list(order)
    if best.left and chance.random() < 0.5:  # noqa: PLR2004 # as often as not
        chosen = chance.choice(best.left)
        new.remove(chosen)
        new.insert(chance.randrange(len(new) + 1), chosen)
        return tuple(new)
    one, two = chance.sample(range(len(new)), 2)
    new[one], new[two] = new[two], new[one]
    return tuple(new)


def _can_be_better(best: _Tried) -> bool:
    return len(best.order) > 1 and bool(best.left or any(one.penalty for one in best.put))


def _put(things: Things, problem: Problem, ways: Parameters, order: tuple[int, ...]) -> _Tried:
    """Put everything down in an order, each on the first level that has a place for it."""
    floors = [Floor(things, level) for level in range(problem.tray.layers)]
    put: list[Put] = []
    left: list[int] = []
    hopeless: set[Wanted] = set()
    for at in order:
        # Where one found no place, the next one alike finds none either: there is only less room.
        alike = replace(things.wanted[at], id="")
        found = None if alike in hopeless else _first_place(floors, at, ways)
        if found is None:
            left.append(at)
            hopeless.add(alike)
        else:
            put.append(found)
    return _Tried(order, tuple(put), tuple(left))


def _first_place(floors: Sequence[Floor], at: int, ways: Parameters) -> Put | None:
    wanted = floors[0].things.wanted[at]
    ways_to_look = [(ways.turns, True), (ways.last_turns, True)]
    if wanted.is_delicate or wanted.is_heavy:
        ways_to_look += [(ways.turns, False), (ways.last_turns, False)]
    for turns, strict in ways_to_look:
        for floor in floors:
            others = [one for one in floors if one is not floor]
            found = floor.best(at, turns, others=others, strict=strict)
            if found is not None:
                floor.add(found)
                return found
    return None


def _cost(tried: _Tried) -> float:
    reach = max((one.right_mm for one in tried.put if not one.is_basket), default=0.0)
    broken = sum(_BROKEN if one.is_relaxed else 0.0 for one in tried.put)
    return _LEFT_OUT * len(tried.left) + broken + reach + sum(one.penalty for one in tried.put)


def _result(problem: Problem, things: Things, best: _Tried, *, steps: int, ways: Parameters) -> Result:
    by_id = {piece.id: piece for piece in problem.pieces}
    in_baskets = {holder for holder, _, _ in problem.baskets}
    pieces: dict[str, LaidPiece] = {one.id: one for one in problem.pieces if one.holder in in_baskets}
    baskets: list[Basket] = []
    for one in best.put:
        name = things.wanted[one.at].id
        where = {"x": one.x, "y": one.y, "turn": one.turn, "layer": one.level}
        if things.wanted[one.at].is_basket:
            baskets.append(Basket.model_validate({"holder": name, **where}))
        else:
            pieces[name] = by_id[name].model_copy(update=where)
    left = [_left_out(by_id, things, best, at, ways) for at in best.left if not things.wanted[at].is_basket]
    gone = {things.wanted[at].id for at in best.left if things.wanted[at].is_basket}
    left += [
        LeftOut(
            piece=one, why="its basket finds no place", by_mm=_basket_lacks(things, best, one.holder, ways)
        )
        for one in problem.pieces
        if one.holder in gone
    ]
    left += [
        LeftOut(piece=one, why="nobody knows its size")
        for one in problem.pieces
        if not one.outline and one.holder not in in_baskets
    ]
    lying = tuple(pieces[one.id] for one in problem.pieces if one.id in pieces and one.holder not in gone)
    return Result(lying, tuple(baskets), tuple(left), _cost(best), steps)


def _left_out(
    by_id: dict[str, LaidPiece], things: Things, best: _Tried, at: int, ways: Parameters
) -> LeftOut:
    why, by = lacking_mm(things, best.put, at, ways.turns)
    return LeftOut(piece=by_id[things.wanted[at].id], why=why, by_mm=by)


def _basket_lacks(things: Things, best: _Tried, holder: str, ways: Parameters) -> float:
    at = next(number for number, one in enumerate(things.wanted) if one.id == holder and one.is_basket)
    return lacking_mm(things, best.put, at, ways.turns)[1]
