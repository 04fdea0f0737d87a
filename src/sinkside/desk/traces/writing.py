"""Writing the archive of traces: what is new or known otherwise, each file whole or not at all."""

from __future__ import annotations

import fcntl
import hashlib
import os
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Final

from sinkside import documents
from sinkside.cycles.samples import SampleFile, needs_pyarrow
from sinkside.desk.ports import Archive
from sinkside.desk.traces.documents import EVIDENCE, ArchivedCycle, AskedCycle, TraceManifest
from sinkside.desk.traces.gathering import MachineMonth, asked_of, sampled
from sinkside.errors import BadInput, Conflict, UnreadableFile

#: Told what is being done, how much of it is done, and how much there is.
Tell = Callable[[str, int, int], None]

_MONTH: Final = re.compile(r"\d{4}-(0[1-9]|1[0-2])")


@dataclass
class Archived:
    """What a run did.

    Attributes:
        written: the manifests of the files that were written, in their order.
        unchanged: how many files were as they should be already.
        waiting: how many cycles have no verdict yet.
        faults: recorder files that are missing or were altered.
    """

    written: list[TraceManifest] = field(default_factory=list)
    unchanged: int = 0
    waiting: int = 0
    faults: list[str] = field(default_factory=list)


def archive_traces(archive: Archive, folder: Path, *, now: datetime, tell: Tell, until: str = "") -> Archived:
    """Write the samples of every judged cycle as Parquet, a file for each department, machine and month.

    Files that hold what the house knows are left as they are, so that a run that was killed is simply begun
    again. Recorder files stay where they are.

    Args:
        archive: the house.
        folder: where; made if missing.
        now: the moment, for the manifests.
        tell: told of each cycle that is written.
        until: the last month, such as 2026-10; all unless told.

    Raises:
        BadInput: if pyarrow is not installed, or the month is none.
        Conflict: if another run is writing there.
        UnreadableFile: if it cannot be written.
    """
    needs_pyarrow()
    if until and not _MONTH.fullmatch(until):
        raise BadInput("expected a month, such as 2026-10", resource=until)
    try:
        with _writing_alone(folder):
            return _write(archive, folder, until=until, now=now, tell=tell)
    except OSError as error:
        raise UnreadableFile(f"it cannot be written ({error.strerror})", resource=str(folder)) from error


def _write(archive: Archive, folder: Path, *, until: str, now: datetime, tell: Tell) -> Archived:
    asked = asked_of(archive, until=until)
    done = Archived(waiting=asked.waiting)
    wanted = {}
    for where, cycles in sorted(asked.months.items()):
        if _holds(folder, where, cycles):
            done.unchanged += 1
        else:
            wanted[where] = cycles
    total, before = sum(map(len, wanted.values())), 0
    for where, cycles in wanted.items():
        path = where.path(folder, "parquet")
        path.parent.mkdir(parents=True, exist_ok=True)
        archived = []
        said = {"format": "sinkside/trace-archive-1", "evidence": EVIDENCE}
        with _whole_or_not(path) as part, SampleFile(part, said) as file:
            for one in cycles:
                archived.append(_add(archive, file, where, one, done.faults))
                before += 1
                tell("Archiving traces", before, total)
        manifest = TraceManifest(
            department=where.department,
            machine=where.machine,
            month=where.month,
            made=now,
            head=asked.heads[where.department],
            file=path.name,
            sha256=digest_of(path),
            cycles=tuple(archived),
        )
        documents.save(manifest, where.path(folder, "json"))
        _settle(path.parent)
        done.written.append(manifest)
    return done


def _add(
    archive: Archive, file: SampleFile, where: MachineMonth, asked: AskedCycle, faults: list[str]
) -> ArchivedCycle:
    found = sampled(archive, where, asked)
    if found.fault:
        faults.append(found.fault)
    rows = 0
    if found.samples is not None:
        file.add(found.samples)
        rows = found.samples.num_rows
    told = {"rows": rows, "first": found.first, "last": found.last, "unread": found.unread}
    return ArchivedCycle.model_validate({**asked.model_dump(), **told})


def _holds(folder: Path, where: MachineMonth, cycles: list[AskedCycle]) -> bool:
    """Whether a file is there whole, and holds these cycles as the house knows them."""
    path, beside = where.path(folder, "parquet"), where.path(folder, "json")
    if not (path.is_file() and beside.is_file()):
        return False
    try:
        manifest = documents.load(TraceManifest, beside)
    except BadInput:
        return False
    return [one.asked() for one in manifest.cycles] == cycles and digest_of(path) == manifest.sha256


def digest_of(path: Path) -> str:
    """The SHA-256 digest of a file's content."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


@contextmanager
def _whole_or_not(path: Path) -> Iterator[Path]:
    """A place beside a file, moved to it at the end; what a killed run left there is written over."""
    part = path.with_name(f"{path.name}.part")
    try:
        yield part
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


@contextmanager
def _writing_alone(folder: Path) -> Iterator[None]:
    """Hold a folder while files are written there.

    Raises:
        Conflict: if another run holds it.
    """
    folder.mkdir(parents=True, exist_ok=True)
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    except BlockingIOError as error:
        raise Conflict("another run is writing there; wait until it is over", resource=str(folder)) from error
    finally:
        os.close(handle)


def _settle(folder: Path) -> None:
    """Have the disk remember which names a folder holds."""
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
