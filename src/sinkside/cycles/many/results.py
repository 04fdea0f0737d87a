"""Results that a killed run leaves for the next: shares in a folder beside them, at last one file."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pydantic import TypeAdapter

from sinkside import __version__
from sinkside.cycles.many.judging import Asked
from sinkside.cycles.many.record import Record
from sinkside.cycles.many.told import Told, table_of, told_in
from sinkside.cycles.reading import Reading
from sinkside.documents import to_json
from sinkside.errors import UnreadableFile

if TYPE_CHECKING:
    import polars as pl

_FOLDER_ENDING: Final = ".unfinished"


class Results:
    """The results of one run over many records, in a Parquet file that appears when it is whole.

    A share's file is named by what was asked and by what its records' files were at that time. Whatever is
    asked otherwise, or has changed since, is judged anew; and nothing is ever counted twice.
    """

    def __init__(self, out: Path, asked: Asked) -> None:
        self._out, self._folder = out, out.with_name(f".{out.name}{_FOLDER_ENDING}")
        self._asked = _digest(_said(asked))

    def place(self, share: Sequence[Record]) -> Path:
        """Where a share is kept: another place as soon as its files, or what is asked, are others."""
        paths = dict.fromkeys(path for record in share for path in _files_of(record))
        return self._folder / f"{_digest([self._asked, repr(share), *map(_stamp, paths)])}.parquet"

    def is_kept(self, place: Path, count: int) -> bool:
        """Whether an earlier run left a share of so many records there, whole."""
        import polars as pl

        try:
            return place.exists() and self._scan([place]).select(pl.len()).collect().item() == count
        except (pl.exceptions.PolarsError, OSError):
            return False

    def kept(self, place: Path) -> list[Told]:
        """What an earlier run told of a share."""
        return told_in(self._scan([place]).collect())

    def keep(self, place: Path, told: Sequence[Told]) -> None:
        """Keep what was told of a share, whole or not at all.

        Raises:
            UnreadableFile: if it cannot be written.
        """
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            _write(table_of(told).lazy(), place)
        except OSError as error:
            raise UnreadableFile(f"it cannot be written ({error})", resource=str(place)) from error

    def finish(self, places: Sequence[Path]) -> None:
        """Put all shares into one file, in their order, and remove what was kept on the way.

        Raises:
            UnreadableFile: if it cannot be written.
        """
        try:
            _write(self._scan(places) if places else table_of([]).lazy(), self._out)
        except OSError as error:
            raise UnreadableFile(f"it cannot be written ({error})", resource=str(self._out)) from error
        shutil.rmtree(self._folder, ignore_errors=True)

    @staticmethod
    def _scan(places: Sequence[Path]) -> pl.LazyFrame:
        import polars as pl

        return pl.scan_parquet(list(places), glob=False, hive_partitioning=False)


def _write(frame: pl.LazyFrame, path: Path) -> None:
    temporary = path.with_name(f".{path.name}.{os.getpid()}.part")
    frame.sink_parquet(temporary, compression="zstd", maintain_order=True)
    temporary.replace(path)


def _said(asked: Asked) -> list[object]:
    programs = {name: to_json(program, compact=True) for name, program in asked.programs.by_name.items()}
    return [
        __version__,
        sorted(programs.items()),
        repr(asked.profile),
        TypeAdapter(Reading).dump_python(asked.reading, mode="json"),
    ]


def _files_of(record: Record) -> Iterator[Path]:
    yield record.path
    yield from (rows.path for rows in record.rows)


def _stamp(path: Path) -> list[object]:
    try:
        about = path.stat()
    except OSError:
        return [str(path.absolute())]
    return [str(path.absolute()), about.st_size, about.st_mtime_ns]


def _digest(what: object) -> str:
    return hashlib.sha256(json.dumps(what, default=str, sort_keys=True).encode()).hexdigest()[:32]
