"""Tables that are turned: one row for each reading, or one column for each sample."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from sinkside.cycles.reading.cells import ABSENT
from sinkside.cycles.reading.decoding import Lines
from sinkside.cycles.reading.figures import is_figure
from sinkside.cycles.reading.heads import read_head
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.spelling import normalised, unit_of

if TYPE_CHECKING:
    import polars as pl

_MOST_CHANNELS: Final = 64
_FEWEST_SAMPLES: Final = 8
_MOST_COLUMNS_OF_READINGS: Final = 8
_FIRST_CHARACTERS: Final = 4000
_FEWEST_COLUMNS_OF_READINGS: Final = 3
_FEWEST_CHANNELS: Final = 2
_MOSTLY: Final = 0.9
_TURNED: Final = "one row for each reading: turned"


def read_transposed(lines: Lines) -> Table | None:
    """A table whose lines are channels and whose columns are samples; None if it is none."""
    import polars as pl

    if len(lines.texts) > 2 * _MOST_CHANNELS:
        return None
    for delimiter in "\t;|,":
        rows = [text for text in lines.texts if text.count(delimiter) >= _FEWEST_SAMPLES]
        channels = [row for row in rows if _is_channel(row[:_FIRST_CHARACTERS], delimiter)]
        if len(channels) < max(_FEWEST_CHANNELS, len(rows)):
            continue
        parted = [[cell.strip().strip('"') for cell in row.split(delimiter)] for row in channels]
        width = max(map(len, parted))
        if width <= len(channels):
            continue
        with_units = all(_is_unit_or_blank(cells[1]) for cells in parted)
        start = 2 if with_units else 1
        heads = tuple(f"{c[0]} [{c[1]}]" if with_units and c[1] else c[0] for c in parted)
        columns = tuple(
            pl.Series([*cells[start:], *[""] * (width - len(cells))], dtype=pl.String) for cells in parted
        )
        note = "each line is a channel: turned"
        return Table(heads, columns, tuple(t for t in lines.texts if t not in channels), inferred=(note,))
    return None


def _is_channel(text: str, delimiter: str) -> bool:
    """Whether a line is a name followed by figures."""
    first, *rest = (cell.strip().strip('"') for cell in text.split(delimiter)[:-1])
    if not first or is_figure(first) or len(rest) < _FEWEST_CHANNELS:
        return False
    cells = [cell for cell in rest[1:] if not ABSENT.match(cell)]
    return bool(cells) and sum(map(is_figure, cells)) >= _MOSTLY * len(cells)


def _is_unit_or_blank(cell: str) -> bool:
    return not cell or unit_of(normalised(cell)) is not None


def one_row_per_sample(table: Table) -> Table:
    """A table with one row for each reading (time, channel, value) as one with a row for each sample.

    >>> import polars as pl
    >>> long = Table(("Time", "Channel", "Value"), (
    ...     pl.Series(["0", "0", "1", "1"]), pl.Series(["T1 [°C]", "P [kPa]"] * 2),
    ...     pl.Series(["20.1", "99", "20.2", "98"])))
    >>> wide = one_row_per_sample(long)
    >>> wide.heads, [column.to_list() for column in wide.columns]
    (('Time', 'T1 [°C]', 'P [kPa]'), [['0', '1'], ['20.1', '20.2'], ['99', '98']])
    """
    if not _FEWEST_COLUMNS_OF_READINGS <= len(table.heads) <= _MOST_COLUMNS_OF_READINGS:
        return table
    at = _channel_column(table)
    if at is None:
        return table
    value = _value_column(table, at)
    if value is None:
        return table
    units = next(
        (i for i in range(len(table.heads)) if i not in {at, value} and _holds_units(table, i)), None
    )
    names = (
        table.columns[at]
        if units is None
        else (table.columns[at] + " [" + table.columns[units].fill_null("") + "]")
    )
    stamps = [i for i in range(len(table.heads)) if i not in {at, value, units}]
    return _pivoted(table, names, value, stamps)


def _channel_column(table: Table) -> int | None:
    """The column that names the channel of each row: a few words that take turns, some with quantities."""
    import polars as pl

    for index, column in enumerate(table.columns):
        if column.dtype != pl.String or len(column) < _FEWEST_SAMPLES // 2:
            continue
        head = [cell for cell in column.head(_MOST_CHANNELS * 2).to_list() if cell is not None]
        if not head or is_figure(head[0].strip()) or any(ABSENT.match(cell) for cell in head[:2]):
            continue
        kinds = column.drop_nulls().str.strip_chars().unique(maintain_order=True)
        if not 1 < len(kinds) <= min(_MOST_CHANNELS, len(column) // 2):
            continue
        named = [read_head(name).kind for name in kinds.to_list()]
        told = sum(kind in {"temperature", "pressure"} for kind in named)
        if told and told * 3 >= len(named) and _stamps_come_again(table, index, len(kinds)):
            return index
    return None


def _stamps_come_again(table: Table, channel: int, kinds: int) -> bool:
    """Whether each stamp stands for about as many rows as there are channels."""
    for index, column in enumerate(table.columns):
        head = read_head(table.heads[index])
        if index != channel and (head.names_time or index == 0):
            return column.n_unique() * kinds <= len(column) * 1.5
    return False


def _value_column(table: Table, channel: int) -> int | None:
    """The last column after the channel's name that holds numbers."""
    for index in range(len(table.heads) - 1, -1, -1):
        column = table.columns[index]
        if index == channel or read_head(table.heads[index]).names_time:
            continue
        cells = [str(cell).strip() for cell in column.head(50).drop_nulls().to_list()]
        if cells and sum(map(is_figure, cells)) * 2 > len(cells):
            return index
    return None


def _holds_units(table: Table, index: int) -> bool:
    import polars as pl

    column = table.columns[index]
    if column.dtype != pl.String:
        return False
    kinds = column.head(200).drop_nulls().unique().to_list()
    return bool(kinds) and all(_is_unit_or_blank(kind.strip()) for kind in kinds)


def _pivoted(table: Table, names: pl.Series, value: int, stamps: list[int]) -> Table:
    """One row for each stamp, in the order of the file; a reading that comes twice keeps a row of its own."""
    import polars as pl

    taken_in_turns = _in_turns(table, names, value, stamps)
    if taken_in_turns is not None:
        return taken_in_turns
    stamp_names = [f"stamp {i}" for i in stamps]
    frame = pl.DataFrame(
        {
            "channel": names.str.strip_chars(),
            "value": table.columns[value],
            **{name: table.columns[i] for name, i in zip(stamp_names, stamps, strict=True)},
        }
    ).drop_nulls("channel")
    first = [stamp_names[0]] if stamp_names else []
    frame = frame.with_columns(pl.int_range(pl.len()).over([*first, "channel"]).alias("again"))
    kinds = frame["channel"].unique(maintain_order=True).to_list()
    wide = frame.pivot(on="channel", index=[*first, "again"], values="value", aggregate_function="first")
    rows = np.arange(len(wide))
    rest = frame.unique([*first, "again"], keep="first", maintain_order=True)
    heads = (*(table.heads[i] for i in stamps), *kinds)
    columns = (*(rest[name].gather(rows) for name in stamp_names), *(wide[kind] for kind in kinds))
    return replace(
        table, heads=heads, columns=columns, sections=(), lines=(), inferred=(*table.inferred, _TURNED)
    )


def _in_turns(table: Table, names: pl.Series, value: int, stamps: list[int]) -> Table | None:
    """The same, quickly, where the channels take turns without a miss and share each stamp; else None."""
    import polars as pl

    kinds = names.head(_MOST_CHANNELS).unique(maintain_order=True).to_list()
    turns, rest = divmod(len(names), len(kinds))
    if rest or None in kinds or not (names == pl.Series(kinds * turns)).all():
        return None
    every = [
        [table.columns[at].gather_every(len(kinds), turn) for turn in range(len(kinds))] for at in stamps
    ]
    if not all((turn == turns[0]).all() for turns in every[:1] for turn in turns[1:]):
        return None
    values = [table.columns[value].gather_every(len(kinds), turn) for turn in range(len(kinds))]
    return replace(
        table,
        heads=(*(table.heads[at] for at in stamps), *(kind.strip() for kind in kinds)),
        columns=(*(each[0] for each in every), *values),
        sections=(),
        lines=table.lines[:: len(kinds)],
        inferred=(*table.inferred, _TURNED),
    )
