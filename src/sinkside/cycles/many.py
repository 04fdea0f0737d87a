"""Judging many recorder files: each by itself, the answers in the order of the files."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Final

from sinkside.cycles.judging import judge_file
from sinkside.cycles.reading import Reading
from sinkside.cycles.verdict import Unread, Verdict
from sinkside.department import Program
from sinkside.errors import SinksideError
from sinkside.limits import Profile
from sinkside.limits import profile as limits_profile

#: Starting a process costs as much as judging some dozens of files.
_WORTH_A_PROCESS: Final = 100
_FILES_AT_ONCE: Final = 16


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
    one = partial(_judged, profile=in_force, reading=reading)
    workers = processes or min(os.cpu_count() or 1, len(paths) // _WORTH_A_PROCESS)
    if workers <= 1:
        return map(one, paths, programs)
    return _shared_out(one, paths, programs, workers)


def _shared_out(
    one: Callable[[Path, Program], Verdict | Unread],
    paths: Sequence[Path],
    programs: Sequence[Program],
    workers: int,
) -> Iterator[Verdict | Unread]:
    # Forking a process whose libraries run threads can lock it up.
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, mp_context=context) as pool:
        yield from pool.map(one, paths, programs, chunksize=_FILES_AT_ONCE)


def _judged(path: Path, program: Program, *, profile: Profile, reading: Reading | None) -> Verdict | Unread:
    try:
        return judge_file(path, program, profile=profile, reading=reading)
    except SinksideError as error:
        return Unread(trace=path.name, error=str(error))
