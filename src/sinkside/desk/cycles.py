"""Cycles: recorder files judged against programs, and simulated ones written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from sinkside import documents
from sinkside.cycles import Reading, Trace, Unread, Verdict, judge_many, read_trace, write_recorder_file
from sinkside.cycles import judge as judge_trace
from sinkside.cycles import simulate as simulate_cycle
from sinkside.department import Program
from sinkside.errors import BadInput

__all__ = ["JudgedCycle", "Reading", "judge", "judge_for_report", "open_program", "simulate"]


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


def judge(
    paths: Sequence[Path], program: Program, *, profile: str = "eu", reading: Reading | None = None
) -> Iterator[Verdict | Unread]:
    """What each recorder file proves; one that cannot be read gets a sentence, and the rest go on.

    Raises:
        BadInput: if the profile is unknown.
    """
    return judge_many(paths, program, profile=profile, reading=reading)


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
