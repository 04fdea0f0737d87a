"""Compound gauges: vacuum below zero in one unit, overpressure above it in another, in one column."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from sinkside.cycles.reading.conversion import in_trace_units
from sinkside.cycles.reading.heads import Head
from sinkside.cycles.reading.options import Reading
from sinkside.cycles.reading.spelling import UnitSaid, VacuumUnit, unit_written
from sinkside.cycles.trace import Channel, ChannelKind, Role
from sinkside.errors import BadInput
from sinkside.science.steam import standard_atmosphere
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

#: As deep as a gauge of each unit goes, with a little for its zero; what lies below is no vacuum in it.
_DEEPEST: Final[dict[VacuumUnit, float]] = {"inHg": -31.0, "cmHg": -79.0, "mmHg": -790.0}

#: A sensor's zero may be off by so much.
_ZERO_PA: Final = 3_000.0
_FEWEST: Final = 3

#: A vacuum that is one; and the share of samples in which one side of a scale is near zero.
_SOME_VACUUM_PA: Final = 20_000.0
_NEARLY_ALL: Final = 0.99
_NAMES_VACUUM: Final = re.compile(r"va[ck]u|\bvac\b|\bvide\b|vuoto|vacío", re.IGNORECASE)

#: Where the unit of the cells changes, a compound gauge is near zero: within this share of a full vacuum.
_NEAR_ZERO: Final = 0.5

_CELL: Final = r"^\s*([+\-\x{2212}]?\d[\d.,]*)\s*([^\d\s.,+\-].*?)\s*$"
_CELLS_LOOKED_AT: Final = 12
_WORD_VACUUM: Final = re.compile(
    r"(?<=hg)[ .(\[]*v(?:ac\w*)?[)\]]?$|[ .(\[]vac\w*[)\]]?$|^vac\w* ", re.IGNORECASE
)


def gauge_values(values: FloatArray, head: Head, unit: str, reading: Reading) -> FloatArray:
    """A gauge's readings in Pa, those below zero in the unit that its vacuum is in.

    Args:
        values: Shape (n,), as recorded, in `unit`.
        head: Of the column.
        unit: Of the readings, above zero at least.
        reading: What a person said.

    Raises:
        BadInput: if a compound gauge shows no sign, or goes lower than its one unit can; names the option.
    """
    pascals = in_trace_units(values, unit=unit, kind=ChannelKind.pressure)
    below = values < 0.0
    vacuum = head.vacuum_unit or reading.vacuum_unit
    if head.vacuum_unit is not None and not below.any() and reading.pressure_unit != unit:
        raise BadInput(
            f"the column '{head.name}' is of a compound gauge and has no minus sign, so that vacuum in "
            f"{head.vacuum_unit} and overpressure in {unit} look alike; export it with a sign, or, if no "
            f"vacuum was drawn, say --pressure-unit {unit}"
        )
    if vacuum is not None and vacuum != unit:
        as_vacuum = in_trace_units(values, unit=vacuum, kind=ChannelKind.pressure)
        return np.where(below, as_vacuum, pascals)
    if head.reference != "absolute" and reading.pressure != "absolute":
        _refuse_below_vacuum(values, pascals, head, unit)
    return pascals


def _refuse_below_vacuum(values: FloatArray, pascals: FloatArray, head: Head, unit: str) -> None:
    """Ask where readings are lower than a vacuum in their own unit and a vacuum in another."""
    too_low = pascals < -standard_atmosphere(0.0) - _ZERO_PA
    if np.count_nonzero(too_low) < _FEWEST:
        return
    lowest = float(values[too_low].min())
    fitting = [name for name, deepest in _DEEPEST.items() if lowest >= deepest and name != unit]
    if fitting:
        raise BadInput(
            f"the column '{head.name}' goes down to {lowest:g} {unit}, lower than any vacuum; if its gauge "
            f"shows vacuum in another unit, say which with --vacuum-unit {'|'.join(fitting)}"
        )


def one_scale(column: pl.Series, name: str) -> tuple[pl.Series, UnitSaid] | None:
    """A column whose cells carry two units of a compound gauge, as numbers that are negative in vacuum.

    None for a column of any other kind.

    Raises:
        BadInput: if what looks like vacuum does not come near zero where the unit changes.

    >>> import polars as pl
    >>> scale = one_scale(pl.Series(["0.0 psig", "2.5 inHg", "24.0 inHg", "3.1 inHg", "1.2 psig"]), "P")
    >>> scale[0].to_list(), scale[1].unit, scale[1].vacuum_unit
    (['0.0', '-2.5', '-24.0', '-3.1', '1.2'], 'psi', 'inHg')
    """
    import polars as pl

    if column.dtype != pl.String or not _carries_units(column):
        return None
    parts = (
        column.alias("cell")
        .to_frame()
        .select(
            pl.col("cell").str.extract(_CELL, 1).alias("number"),
            pl.col("cell").str.extract(_CELL, 2).alias("unit"),
        )
    )
    written = {text: _unit_in_cell(text) for text in parts["unit"].drop_nulls().unique().to_list()}
    said = _compound_of([unit for unit in written.values() if unit is not None])
    if said is None:
        return None
    of_vacuum = [text for text, unit in written.items() if unit is not None and unit.unit == said.vacuum_unit]
    in_vacuum = parts["unit"].is_in(of_vacuum).fill_null(value=False)
    bare = parts["number"].str.replace("\u2212", "-", literal=True).str.strip_prefix("+")
    read = parts["unit"].is_not_null()
    _refuse_unless_near_zero(bare.filter(read), in_vacuum.filter(read).to_numpy(), said, name)
    signed = pl.select(
        pl.when(in_vacuum & ~bare.str.starts_with("-")).then(pl.lit("-") + bare).otherwise(bare)
    ).to_series()
    return signed, said


def _carries_units(column: pl.Series) -> bool:
    """Whether cells hold more than a number, as all of a compound gauge's do, some of them of mercury."""
    first = column.head(_CELLS_LOOKED_AT).to_list()
    if not any(char.isalpha() for cell in first for char in cell or ""):
        return False
    return bool(column.str.contains("(?i)hg|torr").any())


def _unit_in_cell(text: str) -> UnitSaid | None:
    return unit_written(_WORD_VACUUM.sub("", text))


def _compound_of(units: Sequence[UnitSaid]) -> UnitSaid | None:
    """The two units that cells carry as one of a compound gauge; None if they are anything else."""
    vacuum = {name for name in _DEEPEST if any(unit.unit == name for unit in units)}
    above = {unit.unit for unit in units if unit.kind == "pressure"} - vacuum
    absolute = any(unit.reference == "absolute" or unit.kind != "pressure" for unit in units)
    if len(vacuum) != 1 or len(above) != 1 or absolute:
        return None
    return UnitSaid("pressure", above.pop(), "gauge", vacuum.pop())


def _refuse_unless_near_zero(bare: pl.Series, in_vacuum: np.ndarray, said: UnitSaid, name: str) -> None:
    import polars as pl

    if said.vacuum_unit is None:
        return
    turns = np.flatnonzero(in_vacuum[1:] != in_vacuum[:-1])
    beside = np.where(in_vacuum[turns], turns, turns + 1)
    values = bare.str.replace(",", ".", literal=True).cast(pl.Float64, strict=False).to_numpy()[beside]
    near = np.abs(values) <= _NEAR_ZERO * abs(_DEEPEST[said.vacuum_unit])
    if near.size and near.mean() < _NEAR_ZERO:
        raise BadInput(
            f"the column '{name}' changes between {said.vacuum_unit} and {said.unit} far from zero, as no "
            "compound gauge does; export it in one unit"
        )


def joined_gauges(
    channels: Sequence[Channel], heads: Sequence[Head]
) -> tuple[list[Channel], list[Head], list[str]]:
    """Vacuum and overpressure of one chamber, which stand in two columns, as one gauge pressure.

    They are two sides of one scale where one of them is near zero at each moment. Nothing else is touched.

    Args:
        channels: As recorded, pressures in Pa.
        heads: What the heads say, by name.
    """
    gauges = [c for c in channels if c.kind is ChannelKind.pressure and c.role is Role.chamber]
    vacuums = [c for c in gauges if _NAMES_VACUUM.search(c.name)]
    rest = [c for c in gauges if c not in vacuums]
    if (
        len(vacuums) != 1
        or len(rest) != 1
        or any(h.reference == "absolute" for h in heads if _is_of(h, gauges))
    ):
        return list(channels), list(heads), []
    vacuum, above = np.abs(vacuums[0].values), rest[0].values
    either = np.fmin(vacuum, np.abs(above))
    known = np.isfinite(either)
    if (
        not known.any()
        or np.quantile(either[known], _NEARLY_ALL) > _ZERO_PA
        or not _is_one_sided(vacuums[0], above)
    ):
        return list(channels), list(heads), []
    together = replace(rest[0], values=above - vacuum)
    note = f"{vacuums[0].name} is the same gauge below zero as {rest[0].name} above: read as one"
    kept = [together if c is rest[0] else c for c in channels if c is not vacuums[0]]
    told = [replace(h, reference="gauge") if h.name == rest[0].name else h for h in heads]
    return kept, told, [note]


def _is_of(head: Head, channels: Sequence[Channel]) -> bool:
    return any(channel.name == head.name for channel in channels)


def _is_one_sided(vacuum: Channel, above: FloatArray) -> bool:
    """Whether vacuum was drawn and shown with one sign, and overpressure never below zero."""
    values = vacuum.values[np.isfinite(vacuum.values)]
    return bool(
        np.abs(values).max() > _SOME_VACUUM_PA
        and (values.min() > -_ZERO_PA or values.max() < _ZERO_PA)
        and np.nanmin(above) > -_ZERO_PA
    )
