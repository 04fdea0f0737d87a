"""Places that are free for a shape, found on a grid: cells that two shapes share are counted for all at once.

Shapes are widened by half a cell's diagonal before they are put on the grid, so that a place that is free on
the grid is free in truth, and never nearer than the distance that was asked for.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from sinkside.sets.layout.document import Outline
from sinkside.sets.layout.geometry import turned

if TYPE_CHECKING:
    from shapely import Polygon

Cells = npt.NDArray[np.bool_]
Numbers = npt.NDArray[np.float64]
Waves = npt.NDArray[np.complex128]

_NONE_SHARED = 0.5
#: Sides are multiples of this, since waves of such are quick to find.
_ROUND = 8
#: Outlines need not be finer than this on a grid.
_SIMPLER_BY_MM = 0.2
#: Corners of a quarter of a round; so much farther out their straight sides nowhere come too near.
_CORNERS = 4
_CORNERS_OUT = 1.0 / math.cos(math.pi / (4 * _CORNERS))


@dataclass(frozen=True)
class Grid:
    """A floor of `length_mm` by `width_mm` in square cells; places are whole cells from its back left corner.

    Beyond its right and front side it is empty for `beyond_mm`, since counting goes round: what sticks out at
    one side is counted at the other.
    """

    length_mm: float
    width_mm: float
    cell_mm: float
    beyond_mm: float

    @cached_property
    def shape(self) -> tuple[int, int]:
        """Rows and columns, with what is empty beyond."""
        sides = self.width_mm + self.beyond_mm, self.length_mm + self.beyond_mm
        rows, columns = (_ROUND * math.ceil(side / self.cell_mm / _ROUND) for side in sides)
        return rows, columns

    @property
    def half_diagonal_mm(self) -> float:
        """The farthest that a point of a cell is from its middle."""
        return self.cell_mm * math.sqrt(0.5)

    def cells(self, shape: Polygon, x0: int, y0: int, size: tuple[int, int]) -> Cells:
        """The cells of a window whose middle lies in a shape.

        Args:
            shape: in mm.
            x0: the first column of the window.
            y0: its first row.
            size: its rows and columns.
        """
        from shapely import contains_xy, prepare

        prepare(shape)
        xs = (np.arange(size[1]) + x0 + 0.5) * self.cell_mm
        ys = (np.arange(size[0]) + y0 + 0.5) * self.cell_mm
        return np.asarray(contains_xy(shape, *np.meshgrid(xs, ys)))

    def waves(self, cells: npt.NDArray[np.generic]) -> Waves:
        """What makes counting shared cells at every place one multiplication."""
        return np.asarray(np.fft.rfft2(cells.astype(np.float64), s=self.shape))


@dataclass
class Stamp:
    """An outline at one turn, as it is put on a grid; its masks are made once for each distance."""

    outline: Outline
    turn: float
    grid: Grid
    _cells: dict[float, Numbers] = field(default_factory=dict)
    _masks: dict[float, Waves] = field(default_factory=dict)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, back, right and front of it about its middle."""
        left, back, right, front = turned(self.outline, self.turn).bounds
        return float(left), float(back), float(right), float(front)

    def cells(self, distance_mm: float) -> Numbers:
        """The cells within a distance of it, its middle at the back left corner."""
        if distance_mm not in self._cells:
            from shapely import affinity

            wide = widened(self.outline, distance_mm + self.grid.half_diagonal_mm)
            wide = affinity.rotate(wide, self.turn, origin=(0.0, 0.0))
            left, back, right, front = wide.bounds
            cell, spare = self.grid.cell_mm, 1
            x0, y0 = math.floor(left / cell) - spare, math.floor(back / cell) - spare
            size = math.ceil(front / cell) + spare - y0, math.ceil(right / cell) + spare - x0
            cells = self._folded(self.grid.cells(wide, x0, y0, size))
            self._cells[distance_mm] = np.roll(cells, (y0, x0), axis=(0, 1))
        return self._cells[distance_mm]

    def mask(self, distance_mm: float) -> Waves:
        """The same as waves, for counting."""
        if distance_mm not in self._masks:
            self._masks[distance_mm] = np.conj(self.grid.waves(self.cells(distance_mm)))
        return self._masks[distance_mm]

    def at(self, x_mm: float, y_mm: float) -> Cells:
        """The cells that it takes where its middle is at a corner of a cell."""
        steps = round(y_mm / self.grid.cell_mm), round(x_mm / self.grid.cell_mm)
        return np.roll(self.cells(0.0), steps, axis=(0, 1)) > 0.0

    def _folded(self, cells: Cells) -> Numbers:
        """Cells that may be more than the grid has, folded round it."""
        rows, columns = self.grid.shape
        folded = np.zeros(self.grid.shape)
        for y in range(0, cells.shape[0], rows):
            for x in range(0, cells.shape[1], columns):
                piece = cells[y : y + rows, x : x + columns]
                folded[: piece.shape[0], : piece.shape[1]] += piece
        return folded


@functools.lru_cache(maxsize=2000)
def widened(outline: Outline, by_mm: float) -> Polygon:
    """An outline widened all round by at least so much, and by little more; with fewer corners."""
    simple = turned(outline, 0.0).simplify(_SIMPLER_BY_MM)
    return simple.buffer((by_mm + _SIMPLER_BY_MM) * _CORNERS_OUT, quad_segs=_CORNERS)


def shared(stamp: Stamp, floors: Iterable[tuple[Waves, float]]) -> Numbers:
    """How many cells a stamp shares with some floors, for its middle at every corner of a cell.

    Args:
        stamp: what is put down.
        floors: what lies there already, as waves, each with the distance to keep from it.
    """
    waves = [floor * stamp.mask(distance) for floor, distance in floors]
    if not waves:
        return np.zeros(stamp.grid.shape)
    together = functools.reduce(np.add, waves)
    return np.asarray(np.fft.irfft2(together, s=stamp.grid.shape))


def is_free(counted: Numbers) -> Cells:
    """Where nothing is shared; what is counted is whole but for the rounding of the waves."""
    return np.asarray(counted < _NONE_SHARED)
