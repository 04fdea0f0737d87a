"""Judging records, each by itself: the one core of the command line, the worker and other machines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from sinkside.cycles.judging import judge, judge_file
from sinkside.cycles.many.programs import Programs
from sinkside.cycles.many.record import Record
from sinkside.cycles.many.tables import tables_of
from sinkside.cycles.reading import Reading
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.reader import trace_from_table
from sinkside.cycles.verdict import Unread, Verdict
from sinkside.errors import BadInput, SinksideError
from sinkside.limits import Profile


@dataclass(frozen=True)
class Asked:
    """By which programs and limits records are judged, and what a person says where they are silent."""

    programs: Programs
    profile: Profile
    reading: Reading = field(default_factory=Reading)


@dataclass(frozen=True)
class Answered:
    """A record, and what it proves or why it could not be judged."""

    record: Record
    answer: Verdict | Unread


def answers_to(records: Sequence[Record], asked: Asked) -> Iterator[Answered]:
    """What each record proves, in their order; one that cannot be judged gets a sentence instead."""
    tables = tables_of([record for record in records if record.rows and not record.refused])
    for record in records:
        if record.refused:
            answer: Verdict | Unread = Unread(trace=record.name, error=f"{record.name}: {record.refused}")
        elif record.rows:
            answer = _of_table(record, next(tables)[1], asked)
        else:
            answer = answer_of_file(record.path, asked, program=record.said.program)
            answer = answer.model_copy(update={"trace": record.name})
        yield Answered(record, answer)


def answer_of_file(path: Path, asked: Asked, *, program: str = "") -> Verdict | Unread:
    """What one file proves, or why it could not be judged."""
    try:
        return judge_file(path, asked.programs.called(program), profile=asked.profile, reading=asked.reading)
    except SinksideError as error:
        return Unread(trace=path.name, error=str(error))


def _of_table(record: Record, table: Table | BadInput, asked: Asked) -> Verdict | Unread:
    try:
        if isinstance(table, BadInput):
            raise table
        program = asked.programs.called(record.said.program)
        needed = replace(asked.reading, needs_pressure=program.needs_pressure)
        trace = trace_from_table(table, name=record.name, reading=needed)
        return judge(trace, program, profile=asked.profile)
    except SinksideError as error:
        message = str(error) if error.resource else f"{record.name}: {error}"
        return Unread(trace=record.name, error=message)
