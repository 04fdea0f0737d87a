"""Recorders: how their files are read, saved for the next time, and an independent one beside a machine's."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from sinkside import documents
from sinkside.cycles import Reader, Reading, Unread, Verdict, judge, laid_beside, read_trace, reader_for
from sinkside.department import Program
from sinkside.desk.access import Visitor
from sinkside.desk.cycle_judging import LARGEST_RECORD_BYTES
from sinkside.desk.cycle_records import open_cycle, recorder_file
from sinkside.desk.ports import Archive
from sinkside.errors import BadInput

__all__ = ["judge_with_probes", "open_reader", "reader_like", "save_reader"]


def judge_with_probes(
    path: Path, beside: Path, program: Path, *, profile: str = "eu", reading: Reading | None = None
) -> Verdict | Unread:
    """What a machine's record proves together with that of an independent probe recorder beside it.

    Raises:
        BadInput: if the profile is unknown, or the program cannot be read.
    """
    asked = documents.load(Program, program)
    needed = replace(reading or Reading(), needs_pressure=asked.kind.is_steam)
    own_words = replace(needed, needs_pressure=False, reader=None, cycle=None)
    try:
        together = laid_beside(read_trace(path, needed), read_trace(beside, own_words))
    except BadInput as error:
        return Unread(trace=path.name, error=str(error))
    return judge(together, asked, profile=profile)


def open_reader(path: Path) -> Reader:
    """A recorder's saved reader, from its file.

    Raises:
        BadInput: if it cannot be read, or does not fit.
    """
    return documents.load(Reader, path)


def reader_like(archive: Archive, who: Visitor, cycle: str) -> Reader:
    """How the file of an earlier cycle was read, with what was said of it, to read others of that recorder.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such cycle here.
        BadInput: if its file was never read.
    """
    known = open_cycle(archive, who, cycle)
    if known.judged is None or known.judged.verdict is None:
        raise BadInput(
            f"the file of that cycle, {known.record.file_name}, was not read itself; name a judged one",
            resource="like",
        )
    said = replace(known.judged.reading, needs_pressure=known.record.program.needs_pressure)
    if said.reader is not None:
        return said.reader
    _, data = recorder_file(archive, who, cycle)
    return reader_for(data, name=known.record.file_name, reading=said)


def save_reader(path: Path, program: Path, out: Path, *, reading: Reading) -> None:
    """Save how a recorder's files are to be read, from one of them and what was said of it.

    Raises:
        BadInput: if the file does not tell all and nobody said it.
        UnreadableFile: if the reader cannot be written.
    """
    asked = documents.load(Program, program)
    needed = replace(reading, needs_pressure=asked.kind.is_steam)
    data = documents.read_bytes(path, most=LARGEST_RECORD_BYTES)
    documents.save(reader_for(data, name=path.name, reading=needed), out)
