"""Judging many recorder files: each by itself, the answers in the order of the files."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from functools import partial
from itertools import chain
from pathlib import Path
from typing import Final

from sinkside.cycles.judging import judge_file
from sinkside.cycles.reading import Reading
from sinkside.cycles.verdict import Unread, Verdict
from sinkside.department import Program
from sinkside.errors import SinksideError
from sinkside.limits import Profile
from sinkside.limits import profile as limits_profile
from sinkside.parallel import Processes, ThisProcess, Workers

#: Starting a process costs as much as judging some dozens of files.
WORTH_A_PROCESS: Final = 100
FILES_AT_ONCE: Final = 16


def judge_many(
    paths: Sequence[Path],
    program: Program | Sequence[Program],
    *,
    profile: str | Profile = "eu",
    reading: Reading | None = None,
    processes: int | None = None,
) -> Iterator[Verdict | Unread]:
    """A verdict on each file, or why there is none; the rest go on.

    However many processes share the work, each answer is the same to the last bit, because no file knows of
    another.

    Args:
        paths: The recorder files.
        program: What every cycle had to do, or one program per file.
        profile: The limits in force.
        reading: What a person says of the files where they are silent.
        processes: How many share the work; by the number of files and processors unless told.

    Raises:
        BadInput: before any file is read, if the profile is unknown.
        ValueError: if there are several programs, and not one per file.
    """
    programs = [program] * len(paths) if isinstance(program, Program) else list(program)
    if len(programs) != len(paths):
        raise ValueError(f"{len(programs)} programs do not pair with {len(paths)} files")
    in_force = limits_profile(profile) if isinstance(profile, str) else profile
    work = partial(_all_judged, profile=in_force, reading=reading)
    count = processes or min(os.cpu_count() or 1, len(paths) // WORTH_A_PROCESS)
    workers: Workers[tuple[Path, Program], Verdict | Unread] = (
        ThisProcess() if count <= 1 else Processes(count, lost=_lost)
    )
    pairs = list(zip(paths, programs, strict=True))
    at_once = 1 if count <= 1 else FILES_AT_ONCE
    shares = (pairs[start : start + at_once] for start in range(0, len(pairs), at_once))
    return chain.from_iterable(workers.each(work, shares))


def _all_judged(
    pairs: Sequence[tuple[Path, Program]], *, profile: Profile, reading: Reading | None
) -> list[Verdict | Unread]:
    return [_judged(path, program, profile=profile, reading=reading) for path, program in pairs]


def _judged(path: Path, program: Program, *, profile: Profile, reading: Reading | None) -> Verdict | Unread:
    try:
        return judge_file(path, program, profile=profile, reading=reading)
    except SinksideError as error:
        return Unread(trace=path.name, error=str(error))


def _lost(pair: tuple[Path, Program]) -> Verdict | Unread:
    name = pair[0].name
    return Unread(trace=name, error=f"{name}: reading it took more than the machine could give")
