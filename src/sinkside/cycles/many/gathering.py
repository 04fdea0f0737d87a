"""What there is to judge: files by name, and everything in folders that a recorder may have written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from sinkside.cycles.many.columns import KeyColumns
from sinkside.cycles.many.record import Record, Said
from sinkside.cycles.many.tables import cycles_in, joined
from sinkside.cycles.reading.parquet import PARQUET_MARK
from sinkside.errors import BadInput

#: Endings of what recorders and tables write; in a folder nothing else is looked at. A file that is named is
#: read whatever its ending.
RECORDER_ENDINGS: Final = frozenset(
    {".csv", ".txt", ".tsv", ".tab", ".log", ".dat", ".asc", ".prn", ".tape", ".parquet", ".pq"}
)


@dataclass(frozen=True)
class Gathered:
    """The records to judge, and how many files of the folders were passed over as no recorder's."""

    records: tuple[Record, ...]
    passed_over: int = 0


def gather(places: Sequence[Path], *, columns: KeyColumns | None, besides: Path | None = None) -> Gathered:
    """The records in files and folders, in the order of their names; numbers in names count as numbers.

    Args:
        places: Files, and folders with all that is in them.
        columns: Which columns tell cycles apart, where a person said so; None if no file is to be cut.
        besides: A file that is no record, although it may stand among them: where results go.
    """
    records: list[Record] = []
    passed_over = 0
    for place in places:
        if not place.is_dir():
            records += _records_of(place, place.name, columns, Said())
            continue
        files = [path for path in _files_in(place) if besides is None or not _same(path, besides)]
        wanted = [path for path in files if path.suffix.lower() in RECORDER_ENDINGS]
        passed_over += len(files) - len(wanted)
        records += _in_folder(place, wanted, columns)
        if not wanted:
            nothing = "there is no recorder file in this folder"
            records.append(Record(name=place.name, path=place, refused=nothing))
    return Gathered(tuple(records), passed_over)


def _in_folder(folder: Path, files: Iterable[Path], columns: KeyColumns | None) -> list[Record]:
    records: list[Record] = []
    before: list[Record] = []
    for path in files:
        within = path.relative_to(folder)
        after = _records_of(
            path, within.as_posix(), columns, (columns or KeyColumns()).said_by_folders(within)
        )
        before, after = joined(before, after)
        records += before
        before = after
    return records + before


def _records_of(path: Path, name: str, columns: KeyColumns | None, said: Said) -> list[Record]:
    whole = Record(name=name, path=path, said=said)
    if columns is None or not _is_parquet(path):
        return [whole]
    try:
        return cycles_in(path, name, columns, said)
    except BadInput as error:
        return [replace(whole, refused=error.message)]


def _is_parquet(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return file.read(len(PARQUET_MARK)) == PARQUET_MARK
    except OSError:
        return False


def _files_in(folder: Path) -> Iterator[Path]:
    """Files in a folder and those within, without what is hidden."""
    for path in sorted(folder.iterdir(), key=_by_number):
        if path.name.startswith("."):
            continue
        if path.is_dir() and not path.is_symlink():
            yield from _files_in(path)
        elif path.is_file():
            yield path


def _by_number(path: Path) -> list[tuple[int, str]]:
    """So that part-2 comes before part-10."""
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in re.split(r"(\d+)", path.name)]


def _same(path: Path, other: Path) -> bool:
    return path.absolute() == other.absolute()
