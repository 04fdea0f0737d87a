"""Checking the archive of traces against the house: files, the record book, recorder files, every sample."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from sinkside import documents
from sinkside.cycles.samples import KeptSamples, needs_pyarrow
from sinkside.desk.cycle_records import subject_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.traces.documents import ArchivedCycle, AskedCycle, TraceManifest
from sinkside.desk.traces.gathering import MachineMonth, asked_of, sampled
from sinkside.desk.traces.writing import Tell, digest_of
from sinkside.errors import BadInput, UnreadableFile
from sinkside.journal import Head
from sinkside.records import Wanted

_HANDED_IN: Final = "cycle-handed-in"


@dataclass
class TraceCheck:
    """What was looked at, what is wrong, and what the house knows that is not archived, or otherwise, yet."""

    problems: list[str] = field(default_factory=list)
    behind: list[str] = field(default_factory=list)
    files: int = 0
    cycles: int = 0
    rows: int = 0


def check_traces(archive: Archive, folder: Path, *, tell: Tell) -> TraceCheck:
    """Hold an archive of traces against the house whose it is.

    Each file against its digest; the head against the chain; each cycle's recorder file against the record
    book and against its own digest; every sample against the recorder file, read anew.

    Args:
        archive: the house.
        folder: where the archive is.
        tell: told of each cycle that was looked at.

    Raises:
        BadInput: if pyarrow is not installed, or there is no archive of traces.
    """
    needs_pyarrow()
    beside = sorted(folder.glob("*/*/*.json"))
    if not beside:
        raise BadInput("there is no archive of traces here", resource=str(folder))
    report = TraceCheck()
    found = dict(_manifests(beside, folder, report))
    asked = asked_of(archive).months
    total = sum(len(manifest.cycles) for manifest in found.values())
    for where, manifest in found.items():
        report.files += 1
        _check_file(archive, where, manifest, folder, report)
        _note_what_is_behind(where, manifest.cycles, asked.get(where, []), report)
        report.cycles += len(manifest.cycles)
        report.rows += manifest.rows
        tell("Checking traces", report.cycles, total)
    known = {where.path(folder, "parquet") for where in found}
    report.problems += [
        f"{path.relative_to(folder)}: nothing beside it says what it is"
        for path in sorted(folder.glob("*/*/*.parquet"))
        if path not in known
    ]
    report.behind += [f"{where}: not archived yet" for where in sorted(asked.keys() - found.keys())]
    return report


def _manifests(
    paths: Sequence[Path], folder: Path, report: TraceCheck
) -> Iterator[tuple[MachineMonth, TraceManifest]]:
    for path in paths:
        try:
            manifest = documents.load(TraceManifest, path)
        except BadInput as error:
            report.problems.append(f"{path.relative_to(folder)}: {error.message}")
            continue
        where = MachineMonth(manifest.department, manifest.machine, manifest.month)
        if where.path(folder, "json") == path:
            yield where, manifest
        else:
            report.problems.append(f"{path.relative_to(folder)}: it says that it is of {where}")


def _check_file(
    archive: Archive, where: MachineMonth, manifest: TraceManifest, folder: Path, report: TraceCheck
) -> None:
    with archive.unit(writes=False) as unit:
        if not _is_in_chain(unit, where.department, manifest.head):
            report.problems.append(f"{where}: its head {manifest.head} is not in the chain of this house")
        for one in manifest.cycles:
            report.problems += [
                f"{where}, {one.cycle}: {fault}" for fault in _against_the_book(unit, where, one)
            ]
    path = where.path(folder, "parquet")
    if not path.is_file():
        report.problems.append(f"{where}: the file {path.name} is missing")
        return
    if digest_of(path) != manifest.sha256:
        report.problems.append(f"{where}: {path.name} is not the file that was written; archive it again")
        return
    try:
        with KeptSamples(path) as kept:
            report.problems += _against_the_recorder(archive, where, manifest, kept)
    except UnreadableFile as error:
        report.problems.append(f"{where}: {error.message}")


def _is_in_chain(unit: Unit, department: str, printed: str) -> bool:
    number = printed.partition("-")[0]
    if not number.isdigit() or int(number) == 0:
        return False
    stored = next(iter(unit.journal.stored(department, after=int(number) - 1)), None)
    return stored is not None and str(Head(int(number), hashlib.sha256(stored).hexdigest())) == printed


def _against_the_book(unit: Unit, where: MachineMonth, one: ArchivedCycle) -> Iterator[str]:
    """What the record book says otherwise of where a cycle came from."""
    wanted = Wanted(kinds=[_HANDED_IN], subject=subject_of(one.cycle), limit=1)
    events = unit.journal.events(where.department, wanted)
    if not events:
        yield "the record book knows no such cycle"
        return
    said = events[0].data
    if said.get("file") != one.file:
        yield "by the record book it came from another recorder file"
    if (said.get("machine"), said.get("program")) != (where.machine, one.program):
        yield "by the record book another machine ran it, or another program"


def _against_the_recorder(
    archive: Archive, where: MachineMonth, manifest: TraceManifest, kept: KeptSamples
) -> Iterator[str]:
    """Cycles whose samples are not those of the recorder file, read anew."""
    written = [one for one in manifest.cycles if one.rows]
    if kept.cycles != len(written):
        yield f"{where}: the file holds {kept.cycles} cycles, and {len(written)} are named beside it"
        return
    for place, one in enumerate(written):
        found = sampled(archive, where, one)
        if found.fault:
            yield found.fault
        elif found.samples is None or not kept.are(place, found.samples):
            yield f"{where}, {one.cycle}: its samples are not those of the recorder file"


def _note_what_is_behind(
    where: MachineMonth, archived: Sequence[ArchivedCycle], asked: Sequence[AskedCycle], report: TraceCheck
) -> None:
    before = {one.cycle: one.asked() for one in archived}
    now = {one.cycle: one for one in asked}
    count = sum(before.get(cycle) != one for cycle, one in now.items()) + len(before.keys() - now.keys())
    if count:
        told = "1 cycle is" if count == 1 else f"{count} cycles are"
        report.behind.append(f"{where}: {told} new or known otherwise since; archive again")
