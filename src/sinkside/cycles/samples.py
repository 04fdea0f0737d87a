"""Samples of traces as a Parquet file: one row for each sample of each channel, cycle after cycle.

Each cycle is a row group of its own, so that a file is written and read back cycle by cycle, however large.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Self

import numpy as np

from sinkside.cycles.reading.spelling import normalised, unit_of
from sinkside.cycles.trace import Channel, ChannelKind, Trace
from sinkside.errors import BadInput, UnreadableFile
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import pyarrow as pa

#: What each column holds; said in the file too.
COLUMNS: Final[Mapping[str, str]] = {
    "department": "the department's id",
    "machine": "the machine's id",
    "program": "the program by which the cycle was judged",
    "cycle": "the cycle's id",
    "load": "the load that was in it; null where none is named",
    "elapsed_s": "seconds since the first sample, as stamped: repeats and steps back included",
    "time": "the moment in UTC by the recorder's clock; null where its day or hour cannot be told for sure",
    "channel": "the head of the recorder's column",
    "measures": "temperature, pressure, volume, conductivity, ...",
    "role": "chamber, elsewhere or dosing; only what stands in the chamber is judged",
    "place": "where exactly, as far as the head says",
    "unit": "of the value: °C, Pa and mL whatever the recorder wrote; everything else as recorded",
    "value": "the reading; null where nothing, or nothing readable, was recorded",
}

#: Said beside the columns of each file.
PRESSURES: Final = (
    "What measures pressure in the chamber is absolute; a pressure elsewhere, or one told as other, "
    "is by the recorder's own zero."
)

_UNITS: Final = {ChannelKind.temperature: "°C", ChannelKind.pressure: "Pa", ChannelKind.volume: "mL"}
_NUMBERS: Final = ("elapsed_s", "value")
_MS_PER_S: Final = 1000.0


@dataclass(frozen=True)
class SampledCycle:
    """Whose samples they are: department, machine, program, cycle, and load, empty where none is named."""

    department: str
    machine: str
    program: str
    cycle: str
    load: str = ""


def samples_of(trace: Trace, of: SampledCycle, *, began: datetime | None = None) -> pa.Table:
    """Every sample of a trace as rows, channel after channel.

    Args:
        trace: what the recorder wrote.
        of: whose it is.
        began: the moment of the first sample; none where that is not known.

    Raises:
        BadInput: if pyarrow is not installed.
    """
    import pyarrow as pa

    count, channels = trace.times_s.size, trace.channels
    rows = count * len(channels)

    def words(told: list[str]) -> pa.Array:
        # Each word once: with a word twice in its dictionary, the file's bytes would differ from run to run.
        place = {word: at for at, word in enumerate(dict.fromkeys(told))}
        each = np.repeat(np.array([place[word] for word in told], dtype=np.int32), count)
        return pa.DictionaryArray.from_arrays(each, pa.array(list(place), pa.string()))

    def same(word: str) -> pa.Array:
        return words([word] * len(channels)) if word else pa.nulls(rows, _word_type())

    columns = {
        **{name: same(getattr(of, name)) for name in ("department", "machine", "program", "cycle", "load")},
        "elapsed_s": _numbers(np.tile(trace.times_s, len(channels))),
        "time": _times(np.tile(trace.times_s, len(channels)), began),
        "channel": words([channel.name for channel in channels]),
        "measures": words([channel.kind.value for channel in channels]),
        "role": words([channel.role.value for channel in channels]),
        "place": words([channel.place.value for channel in channels]),
        "unit": words([unit_in(channel) for channel in channels]),
        "value": _numbers(np.concatenate([channel.values for channel in channels])),
    }
    return pa.table(columns, schema=_schema())


def unit_in(channel: Channel) -> str:
    """The unit of a channel's values: as a trace holds its kind, else as recorded.

    >>> from sinkside.cycles.trace import Role
    >>> unit_in(Channel("T1", ChannelKind.temperature, Role.chamber, "°F", np.array([20.0])))
    '°C'
    """
    # A pressure of which nobody needs to know what it is measured from is held as another reading, in pascal.
    said = unit_of(normalised(channel.unit)) if channel.kind is ChannelKind.other else None
    if said is not None and said.kind == "pressure":
        return _UNITS[ChannelKind.pressure]
    return _UNITS.get(channel.kind, channel.unit)


class SampleFile:
    """A Parquet file of samples that is being written; it is on the disk for good once it is closed."""

    def __init__(self, path: Path, said: Mapping[str, str]) -> None:
        import pyarrow.parquet as pq

        self._path = path
        schema = _schema({"about": PRESSURES, **said})
        self._file = path.open("wb")
        self._writer = pq.ParquetWriter(self._file, schema, compression="zstd")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._writer.close()
        self._file.flush()
        os.fsync(self._file.fileno())
        self._file.close()

    def add(self, samples: pa.Table) -> None:
        """Add the samples of one cycle."""
        self._writer.write_table(samples, row_group_size=max(samples.num_rows, 1))


class KeptSamples:
    """A Parquet file of samples that was written before."""

    def __init__(self, path: Path) -> None:
        import pyarrow as pa
        import pyarrow.parquet as pq

        try:
            self._file = pq.ParquetFile(path)
        except (pa.ArrowException, OSError) as error:
            raise _damaged(path) from error
        self._path = path

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    @property
    def cycles(self) -> int:
        """How many cycles it holds."""
        return int(self._file.num_row_groups)

    def are(self, place: int, samples: pa.Table) -> bool:
        """Whether the samples of the n-th cycle are these, to the last bit.

        Raises:
            UnreadableFile: if the file is damaged.
        """
        import pyarrow as pa

        try:
            found = self._file.read_row_group(place)
        except (pa.ArrowException, OSError) as error:
            raise _damaged(self._path) from error
        plain = pa.schema([(field.name, _plain(field.type)) for field in _schema()])
        return bool(
            found.column_names == samples.column_names and found.cast(plain).equals(samples.cast(plain))
        )


def needs_pyarrow() -> None:
    """See that the library of Parquet files is there.

    Raises:
        BadInput: if it is not installed.
    """
    try:
        import pyarrow as pa
    except ImportError as error:
        raise BadInput("pyarrow is not installed; install sinkside[parquet]", resource="Parquet") from error
    del pa


def _schema(said: Mapping[str, str] | None = None) -> Any:
    import pyarrow as pa

    kinds: dict[str, Any] = dict.fromkeys(_NUMBERS, pa.float64())
    kinds["time"] = pa.timestamp("ms", tz="UTC")
    fields = [
        pa.field(name, kinds.get(name, _word_type()), metadata={"description": told})
        for name, told in COLUMNS.items()
    ]
    return pa.schema(fields, metadata=dict(said) if said else None)


def _word_type() -> Any:
    import pyarrow as pa

    return pa.dictionary(pa.int32(), pa.string())


def _plain(kind: Any) -> Any:
    import pyarrow as pa

    return pa.string() if pa.types.is_dictionary(kind) else kind


def _numbers(values: FloatArray) -> Any:
    import pyarrow as pa

    return pa.array(values, pa.float64(), mask=~np.isfinite(values))


def _times(elapsed_s: FloatArray, began: datetime | None) -> Any:
    import pyarrow as pa

    kind = pa.timestamp("ms", tz="UTC")
    if began is None:
        return pa.nulls(elapsed_s.size, kind)
    since_1970_s = (began - datetime(1970, 1, 1, tzinfo=UTC)).total_seconds()
    known = np.isfinite(elapsed_s)
    told = np.rint((since_1970_s + np.where(known, elapsed_s, 0.0)) * _MS_PER_S).astype(np.int64)
    return pa.array(told, kind, mask=~known)


def _damaged(path: Path) -> UnreadableFile:
    return UnreadableFile("this Parquet file is damaged or cut off", resource=str(path))
