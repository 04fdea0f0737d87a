"""Cycles: recorder files judged against programs, and simulated ones written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from sinkside import documents
from sinkside.cycles import Reading, Trace, Unread, Verdict, read_trace, write_recorder_file
from sinkside.cycles import judge as judge_trace
from sinkside.cycles import simulate as simulate_cycle
from sinkside.cycles.many import (
    Asked,
    KeyColumns,
    Programs,
    Record,
    Told,
    gather,
    judge_records,
    told_lost,
    workers_for,
)
from sinkside.department import Program
from sinkside.errors import BadInput
from sinkside.limits import profile as profile_named
from sinkside.parallel import Cluster

__all__ = [
    "Asked",
    "JudgedCycle",
    "KeyColumns",
    "Reading",
    "judge",
    "judge_for_report",
    "open_program",
    "open_programs",
    "profile_named",
    "simulate",
]


@dataclass(frozen=True)
class JudgedCycle:
    """One recorder file: what it proves or why it could not be read, the record, and the program."""

    answer: Verdict | Unread
    program: Program
    trace: Trace | None = None


def open_program(path: Path) -> Program:
    """A machine's validated program, from its file.

    Raises:
        BadInput: if it cannot be read, or does not fit.
    """
    return documents.load(Program, path)


def open_programs(given: Sequence[str]) -> Programs:
    """Programs from their files, each under its file's name, or under another: `NAME=FILE`.

    Raises:
        BadInput: if one cannot be read, or a name means two programs.
    """
    return Programs.of(_named(item) for item in given)


def _named(given: str) -> tuple[str, Program]:
    name, equals, file = given.partition("=")
    if not equals or Path(given).exists():
        return Path(given).stem, open_program(Path(given))
    return name, open_program(Path(file))


@dataclass(frozen=True)
class Judging:
    """Judging that has begun: how many records there are, how many files were passed over, the answers."""

    total: int
    passed_over: int
    told: Iterator[Told]


def judge(
    places: Sequence[Path],
    asked: Asked,
    *,
    columns: KeyColumns | None = None,
    out: Path | None = None,
    cluster: str | None = None,
) -> Judging:
    """What recorder files, folders and data sets prove; a record that cannot be judged gets a sentence.

    Args:
        places: Files and folders.
        asked: By which programs and limits.
        columns: Which columns of a data set tell cycles apart, where a person said so.
        out: A Parquet file for the results; what a killed run left of it is not judged again.
        cluster: The address of a Dask scheduler whose machines do the work.

    Raises:
        UnreadableFile: if no cluster answers.
        BadInput: if Dask is asked for and not installed.
    """
    # Whoever names one cycle of a file by its number has its cycles counted by the reader.
    cut = None if asked.reading.cycle is not None else columns or KeyColumns()
    gathered = gather(places, columns=cut, besides=out)
    told = _told(gathered.records, asked, out, cluster)
    return Judging(len(gathered.records), gathered.passed_over, told)


def _told(records: Sequence[Record], asked: Asked, out: Path | None, cluster: str | None) -> Iterator[Told]:
    if cluster is None:
        yield from judge_records(records, asked, workers=workers_for(records), out=out)
        return
    machines: Cluster[Record, Told] = Cluster.at(cluster, lost=told_lost)
    try:
        yield from judge_records(records, asked, workers=machines, out=out)
    finally:
        machines.close()


def judge_for_report(
    path: Path, program: Program, *, profile: str = "eu", reading: Reading | None = None
) -> JudgedCycle:
    """One recorder file with its record, to be drawn.

    Raises:
        BadInput: if the profile is unknown.
    """
    needed = replace(reading or Reading(), needs_pressure=program.needs_pressure)
    try:
        trace = read_trace(path, needed)
    except BadInput as error:
        return JudgedCycle(Unread(trace=path.name, error=str(error)), program)
    return JudgedCycle(judge_trace(trace, program, profile=profile), program, trace)


def simulate(kind: str, program: Program, *, seed: int, out: Path, dialect: str = "si") -> int:
    """Write a simulated recorder file, normal or with a named fault, and say how many rows it has.

    Raises:
        BadInput: if there is no such fault or dialect for this kind of program.
    """
    return write_recorder_file(simulate_cycle(program, kind, seed=seed), out, dialect=dialect)
