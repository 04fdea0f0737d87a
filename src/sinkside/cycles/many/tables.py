"""Cycles in Parquet files that hold many of them: where each stands, and its rows as a table of its own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import chain, groupby
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from sinkside.cycles.many.columns import KeyColumns
from sinkside.cycles.many.record import Key, Record, Rows, Said
from sinkside.cycles.reading.heads import read_head
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.parquet import table_of_frame
from sinkside.errors import BadInput, UnreadableFile

if TYPE_CHECKING:
    import polars as pl

#: Two parts of one table follow each other within so many of its usual steps.
_STEPS_ON: Final = 10.0
_ONE_BEFORE_TWO_AFTER: Final = 3

#: No recorder calls a column so.
_ROW: Final = "\0row"


def cycles_in(path: Path, name: str, columns: KeyColumns, said: Said) -> list[Record]:
    """The cycles in a Parquet file; one for the whole file where no column tells cycles apart.

    Args:
        path: The file.
        name: What verdicts call it.
        columns: Which columns tell cycles apart, where a person said so.
        said: What the folder's name says of all of them.

    Raises:
        UnreadableFile: if the file is damaged or cut off.
        BadInput: if a column that was asked for is not there.
    """
    found = columns.found_in(_columns_of(path))
    whole = Record(name=name, path=path, said=said, apart=tuple(found.values()))
    if not found:
        return [whole]
    records = []
    for key, rows, is_unbroken in _stretches(_read(path, list(found.values())), path):
        told = {what: str(value) for what, value in zip(found, key, strict=True) if value is not None}
        record = replace(whole, said=replace(said, **told), rows=(rows,))
        if not told.get("cycle"):
            record = replace(record, refused=f"{rows.count} rows name no cycle")
        if not is_unbroken:
            record = replace(record, key=tuple(zip(found.values(), key, strict=True)))
        records.append(record)
    if len(records) == 1:
        return records
    return [replace(record, name=f"{name}#{record.said.cycle or '?'}") for record in records]


def joined(before: Sequence[Record], after: Sequence[Record]) -> tuple[list[Record], list[Record]]:
    """Two files' cycles, with one that runs on from the end of the first into the second made whole.

    Parts of a data set are cut without regard to cycles. A cycle runs on where the same one stands last here
    and first there, and its time goes on without a leap.
    """
    if not before or not after or before[-1].said != after[0].said or not _runs_on(before[-1], after[0]):
        return list(before), list(after)
    whole = replace(before[-1], rows=(*before[-1].rows, *after[0].rows))
    return list(before[:-1]), [whole, *after[1:]]


def _runs_on(last: Record, first: Record) -> bool:
    if not (last.rows and first.rows) or last.key or first.key or last.refused or first.refused:
        return False
    end, start = last.rows[-1], first.rows[0]
    moments = [*_moments(Rows(end.path, end.end - 1, 1)), *_moments(Rows(start.path, start.first, 2))]
    if len(moments) != _ONE_BEFORE_TWO_AFTER or None in moments:
        return False
    before, now, then = moments
    step = then - now
    return bool(step * 0 < now - before <= step * _STEPS_ON)


def _moments(rows: Rows) -> list[Any]:
    """What stands in the column of times in some rows, if it is a column of numbers or moments."""
    frame = _read(rows.path, None, rows)
    for name, kind in frame.schema.items():
        if kind.is_temporal() or (kind.is_numeric() and read_head(name).names_time):
            return frame[name].to_list()
    return []


def tables_of(records: Sequence[Record]) -> Iterator[tuple[Record, Table | BadInput]]:
    """Each record's rows, without the columns that tell cycles apart; or why they cannot be read.

    Rows of one file that follow one another are read together.
    """
    for _, group in groupby(records, key=attrgetter("path")):
        together = list(group)
        try:
            frames = frames_of(together)
        except BadInput as error:
            yield from ((record, error) for record in together)
            continue
        said = metadata_of(together[0].path)
        tables = (table_of_frame(frame, said) for frame in frames)
        yield from zip(together, tables, strict=True)


def frames_of(records: Sequence[Record]) -> list[pl.DataFrame]:
    """The rows of records of one file, without the columns that tell cycles apart.

    Raises:
        UnreadableFile: if the file is damaged or cut off.
    """
    import polars as pl

    wanted: dict[Path, list[Rows]] = {}
    for rows in (rows for record in records for rows in record.rows):
        wanted.setdefault(rows.path, []).append(rows)
    # What tells cycles apart is no reading; it is looked at only where cycles stand among each other.
    needless = set() if any(record.key for record in records) else {*chain(*(r.apart for r in records))}
    read = {}
    for path, parts in wanted.items():
        first, end = min(part.first for part in parts), max(part.end for part in parts)
        columns = [name for name in _columns_of(path) if name not in needless]
        read[path] = (first, _read(path, columns, Rows(path, first, end - first)))
    frames = []
    for record in records:
        pieces = [
            read[rows.path][1].slice(rows.first - read[rows.path][0], rows.count) for rows in record.rows
        ]
        frame = pieces[0] if len(pieces) == 1 else pl.concat(pieces, how="vertical_relaxed")
        for column, value in record.key or ():
            frame = frame.filter(pl.col(column).eq_missing(pl.lit(value)))
        frames.append(frame if needless else frame.drop(record.apart))
    return frames


def _columns_of(path: Path) -> dict[str, bool]:
    """The columns of a Parquet file, and whether each may hold names or numbers of cycles."""
    import polars as pl

    try:
        schema = pl.read_parquet_schema(path)
    except (pl.exceptions.PolarsError, OSError) as error:
        raise _damaged(path) from error
    named = (pl.String, pl.Categorical, pl.Enum)
    return {name: kind.is_integer() or isinstance(kind, named) for name, kind in schema.items()}


def _read(path: Path, columns: Sequence[str] | None, rows: Rows | None = None) -> pl.DataFrame:
    import polars as pl

    try:
        frame = pl.scan_parquet(path, glob=False, hive_partitioning=False)
        if rows is not None:
            frame = frame.slice(rows.first, rows.count)
        return (frame if columns is None else frame.select(columns)).collect()
    except (pl.exceptions.PolarsError, OSError) as error:
        raise _damaged(path) from error


def metadata_of(path: Path) -> dict[str, str]:
    """What a Parquet file says of itself beside its columns; nothing where that cannot be read."""
    import polars as pl

    try:
        return dict(pl.read_parquet_metadata(path))
    except (pl.exceptions.PolarsError, OSError, UnicodeDecodeError):
        return {}


def _damaged(path: Path) -> UnreadableFile:
    return UnreadableFile("this Parquet file is damaged or cut off", resource=path.name)


def _stretches(keys: pl.DataFrame, path: Path) -> Iterator[tuple[tuple[Key, ...], Rows, bool]]:
    """For each key its rows, from the first to the last, and whether no other key's stand between."""
    import polars as pl

    row = pl.col(_ROW)
    placed = keys.with_row_index(_ROW).group_by(keys.columns, maintain_order=True)
    found = placed.agg(row.min(), row.max().alias(f"{_ROW} last"), pl.len().alias(f"{_ROW}s"))
    for *key, first, last, count in found.rows():
        yield tuple(key), Rows(path, first, last + 1 - first), last + 1 - first == count


def pieces_of(records: Iterable[Record], *, rows: int, files: int) -> Iterator[tuple[Record, ...]]:
    """Records in shares of so many rows, or so many files, that follow one another."""
    share: list[Record] = []
    taken = 0
    for record in records:
        if share and (taken >= rows or (len(share) >= files and not record.rows)):
            yield tuple(share)
            share, taken = [], 0
        share.append(record)
        taken += record.size
    if share:
        yield tuple(share)
