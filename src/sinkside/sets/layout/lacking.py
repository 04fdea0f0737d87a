"""By how many millimetres a thing does not fit, and why."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.sets.layout.putting import Put, Things
from sinkside.sets.layout.raster import Stamp, is_free, shared

_EVERY_DEG: Final = 180


def lacking_mm(things: Things, put: Sequence[Put], at: int, turns: Sequence[float]) -> tuple[str, float]:
    """Why a thing found no place, and by how many mm the tray is too small for it.

    Alone, that is the least by which it passes the walls at any turn; else how much longer the tray would
    have to be for a place beside the others at one of some turns, to the cell of the grid.

    Args:
        things: what is put down.
        put: what lies in the tray.
        at: the number of the thing.
        turns: in degrees.
    """
    alone, fitting = _alone(things, at)
    if alone > 0.0:
        return "it is larger than the tray, its walls kept off", alone
    beside = min(_beside(things, put, at, turn) for turn in (*turns, fitting))
    if not math.isfinite(beside):
        return "it has less to spare than one step of the placing", things.cell_mm
    return "there is no place left beside the others; the tray is too short", beside


def _alone(things: Things, at: int) -> tuple[float, float]:
    """The least by which it passes the walls of the empty tray, and at which turn."""
    tray, wall = things.tray, things.clearances.wall_mm
    points = np.array(things.wanted[at].outline)
    turns = np.radians(np.arange(_EVERY_DEG))
    across = np.outer(np.cos(turns), points[:, 0]) - np.outer(np.sin(turns), points[:, 1])
    down = np.outer(np.sin(turns), points[:, 0]) + np.outer(np.cos(turns), points[:, 1])
    over = np.maximum(
        np.ptp(across, axis=1) + 2 * wall - tray.length_mm, np.ptp(down, axis=1) + 2 * wall - tray.width_mm
    )
    best = int(np.argmin(over))
    return max(float(over[best]), 0.0), float(best)


def _beside(things: Things, put: Sequence[Put], at: int, turn: float) -> float:
    """How much longer the tray would have to be at one turn; without end where it is too narrow as well."""
    wanted, tray, asked = things.wanted[at], things.tray, things.clearances
    left, back, right, front = things.stamp(at, turn).bounds
    longer = right - left + asked.pieces_mm + asked.apart_mm + 2 * things.cell_mm
    grid = things.grid_of(tray.length_mm + longer, tray.width_mm)
    stamp = Stamp(wanted.outline, turn, grid)
    floors = []
    for one in put:
        if one.level == 0:
            there = Stamp(things.wanted[one.at].outline, one.turn, grid).at(one.x, one.y)
            floors.append((grid.waves(there), _distance(things, at, one.at)))
    free = is_free(shared(stamp, floors))
    xs, ys = np.arange(free.shape[1]) * things.cell_mm, np.arange(free.shape[0]) * things.cell_mm
    across = (xs + left >= asked.wall_mm) & (xs + right <= grid.length_mm - asked.wall_mm)
    down = (ys + back >= asked.wall_mm) & (ys + front <= grid.width_mm - asked.wall_mm)
    fits = (free & down[:, None] & across[None, :]).any(axis=0)
    if not fits.any():
        return math.inf
    reach = float(xs[int(np.argmax(fits))]) + right + asked.wall_mm
    return max(reach - tray.length_mm, things.cell_mm)


def _distance(things: Things, one: int, other: int) -> float:
    asked = things.clearances
    apart = things.are_apart(things.wanted[one], things.wanted[other])
    return asked.apart_mm if apart else asked.pieces_mm
