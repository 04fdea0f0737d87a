"""Judging what was handed in: a few small files here and now, the rest in a child as a job."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, Final

from pydantic import TypeAdapter

from sinkside.cycles import Reading, Unread, Verdict, judge
from sinkside.cycles.reading.reader import trace_from_bytes
from sinkside.department import Program
from sinkside.desk.cycle_documents import CycleRecord, Judged
from sinkside.desk.parsing_child import ChildLimits, Stopped, run_child
from sinkside.desk.uploads import Upload
from sinkside.errors import SinksideError

LARGEST_RECORD_BYTES: Final = 200_000_000

#: So much is judged within the time of a click.
_FILES_AT_ONCE: Final = 4
_BYTES_AT_ONCE: Final = 1_000_000
_PARQUET: Final = b"PAR1"


def is_judged_at_once(uploads: Sequence[Upload]) -> bool:
    """Whether files are few and small enough, and plain text: what is packed can unfold without end."""
    return (
        len(uploads) <= _FILES_AT_ONCE
        and sum(len(upload.data) for upload in uploads) <= _BYTES_AT_ONCE
        and not any(upload.data.startswith(_PARQUET) for upload in uploads)
    )


def judged_here(upload: Upload, program: Program, *, profile: str, reading: Reading) -> Judged:
    """What one small file proves, or why it could not be read."""
    needed = replace(reading, needs_pressure=program.needs_pressure)
    name = upload.plain_name
    try:
        trace = trace_from_bytes(upload.data, name=name, reading=needed)
        return Judged.of(judge(trace, program, profile=profile), reading)
    except SinksideError as error:
        return Judged.of(Unread(trace=name, error=str(error)), reading)


def judged_in_child(
    files: Sequence[tuple[CycleRecord, bytes]],
    *,
    reading: Reading,
    limits: ChildLimits,
    go_on: Callable[[], bool],
) -> list[Judged]:
    """What files of one program prove; one that brings the child down is left out, and the rest go on.

    Raises:
        Stopped: if the work was not to go on.
    """
    first = files[0][0]
    arguments = {
        "program": first.program.model_dump(mode="json"),
        "profile": first.profile,
        "reading": TypeAdapter(Reading).dump_python(reading, mode="json"),
    }
    named = [(record.file_name, data) for record, data in files]
    try:
        answers = run_child("judge", named, arguments=arguments, limits=limits, go_on=go_on)
    except Stopped:
        raise
    except SinksideError as error:
        if len(files) == 1:
            return [Judged.of(Unread(trace=named[0][0], error=str(error)), reading)]
        return [
            judged
            for one in files
            for judged in judged_in_child([one], reading=reading, limits=limits, go_on=go_on)
        ]
    return [Judged.of(_answer(values), reading) for values in answers]


def _answer(values: dict[str, Any]) -> Verdict | Unread:
    return Unread.model_validate(values) if "error" in values else Verdict.model_validate(values)
