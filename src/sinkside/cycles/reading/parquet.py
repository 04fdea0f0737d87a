"""Parquet as a table; units may stand in the file's own metadata."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, Final

from sinkside.cycles.reading.heads import read_head
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.spelling import normalised, unit_of
from sinkside.errors import UnreadableFile

if TYPE_CHECKING:
    import polars as pl

PARQUET_MARK: Final = b"PAR1"
_UNIT_WORD: Final = re.compile(r"units?|einheit|unité|unidad|unità", re.IGNORECASE)


def read_parquet(data: bytes, *, resource: str) -> Table:
    """The table in a Parquet file's bytes.

    Raises:
        UnreadableFile: if it is damaged.
    """
    import polars as pl

    try:
        frame = pl.read_parquet(io.BytesIO(data), use_pyarrow=False)
        said = pl.read_parquet_metadata(io.BytesIO(data))
    except (pl.exceptions.PolarsError, OSError, UnicodeDecodeError) as error:
        raise UnreadableFile("this Parquet file is damaged or cut off", resource=resource) from error
    return table_of_frame(frame, said)


def table_of_frame(frame: pl.DataFrame, said: Mapping[str, str]) -> Table:
    """A table from typed columns, with the units that the file's metadata say of them."""
    import polars as pl

    columns = [
        column.cast(pl.String) if column.dtype in {pl.Categorical, pl.Enum} else column
        for column in frame.get_columns()
    ]
    units = dict(_units_in(said, set(frame.columns)))
    heads = tuple(
        f"{name} [{units[name]}]" if name in units and read_head(name).unit is None else name
        for name in frame.columns
    )
    notes = tuple(f"unit of {name} from the file's metadata" for name in frame.columns if name in units)
    return Table(heads, tuple(columns), inferred=notes)


def _units_in(said: Mapping[str, Any], names: set[str]) -> Iterator[tuple[str, str]]:
    """Units by column: `{"units": {"T1": "°C"}}`, `{"T1": "°C"}`, `{"T1.unit": "°C"}`, nested at will."""
    for key, value in said.items():
        column = next((name for name in names if key == name or _names_unit_of(key, name)), None)
        if column is not None and _is_unit(value):
            yield column, value
            continue
        inner = _mapping(value)
        if inner is None:
            continue
        told = next((v for k, v in inner.items() if _UNIT_WORD.fullmatch(k)), None)
        if column is not None and isinstance(told, str):
            yield column, told
        else:
            yield from _units_in(inner, names)


def _is_unit(value: object) -> bool:
    return isinstance(value, str) and unit_of(normalised(value)) is not None


def _names_unit_of(key: str, name: str) -> bool:
    rest = key.replace(name, "", 1) if name in key else ""
    return bool(rest) and _UNIT_WORD.fullmatch(rest.strip("._:/- ")) is not None


def _mapping(value: object) -> dict[str, Any] | None:
    if isinstance(value, dict):
        return value
    if not isinstance(value, str) or not value.lstrip().startswith("{"):
        return None
    try:
        read = json.loads(value)
    except ValueError:
        return None
    return read if isinstance(read, dict) else None
