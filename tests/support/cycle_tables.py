"""Data sets of simulated cycles, as many hospitals keep them: one table, in parts, or folder by folder."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np
import polars as pl

from sinkside.cycles import simulate
from sinkside.department import Program

#: What the columns of a cycle are called.
TIME, FIRST, SECOND, PRESSURE = "time_s", "T1 [°C]", "T2 [°C]", "p abs [kPa]"


def cycle_table(program: Program, seed: int, fault: str = "normal", *, every: int = 4) -> pl.DataFrame:
    """One simulated steam cycle, rounded as recorders do; a sample every so many seconds."""
    recording = simulate(program, fault, seed=seed)
    assert recording.pressure_kpa is not None
    return pl.DataFrame(
        {
            TIME: np.round(recording.times_s[::every] - recording.times_s[0], 1),
            FIRST: np.round(recording.probes_c[0][::every], 2),
            SECOND: np.round(recording.probes_c[1][::every], 2),
            PRESSURE: np.round(recording.pressure_kpa[::every], 2),
        }
    )


def data_set(cycles: Iterable[tuple[int | str, pl.DataFrame]], **more: str) -> pl.DataFrame:
    """Cycles one after the other in a table with a column for their ids, and others that never change."""
    return pl.concat(
        [
            table.select(
                pl.lit(cycle).alias("cycle_id"), *(pl.lit(v).alias(k) for k, v in more.items()), pl.all()
            )
            for cycle, table in cycles
        ]
    )


def written(table: pl.DataFrame, path: Path, *, rows_a_group: int = 700) -> Path:
    """A table as a Parquet file whose row groups end within cycles."""
    path.parent.mkdir(parents=True, exist_ok=True)
    table.write_parquet(path, row_group_size=rows_a_group)
    return path
